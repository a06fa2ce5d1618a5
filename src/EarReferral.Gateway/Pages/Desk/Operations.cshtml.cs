using EarReferral.Gateway.Attention;
using EarReferral.Gateway.Intake;
using EarReferral.Gateway.Security.People;
using EarReferral.Storage;
using EarReferral.Storage.Alarms;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Sending;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;

namespace EarReferral.Gateway.Pages.Desk;

/// <summary>Who is waiting, and on whom; the technical figures lie folded below.</summary>
internal sealed class OperationsModel(OpenMatters matters, AlarmStore alarms, Outbox outbox, DestinationStore destinations, OpenReferralList attempts, DeskReach desk, TimeProvider clock) : PageModel
{
    private static readonly string[] Order = ["The clinic", "The receiver", "The GP practice", "The operator"];

    public DateTimeOffset Now { get; private set; }

    /// <summary>What waits, by whom it waits for; every party stands there, also when nothing waits on it.</summary>
    public IReadOnlyList<(string On, IReadOnlyList<OpenMatter> Matters)> Waiting { get; private set; } = [];

    public IReadOnlyList<Alarm> Alarms { get; private set; } = [];

    public IReadOnlyList<OutboxDepth> Depth { get; private set; } = [];

    public IReadOnlyList<DestinationState> Destinations { get; private set; } = [];

    public IReadOnlyList<AttemptsInHour> Hours { get; private set; } = [];

    public string? SignedIn => desk.Person.Name;

    public string? Refused { get; private set; }

    public async Task<IActionResult> OnGetAsync() => await ReadAsync() ?? Page();

    /// <summary>Takes an alarm on by name.</summary>
    public async Task<IActionResult> OnPostAsync([FromForm] string alarm, [FromForm] string? person, [FromForm] string? note)
    {
        if (await ReadAsync() is { } other)
        {
            return other;
        }

        var by = new AcknowledgementByHand { Person = SignedIn ?? (string.IsNullOrWhiteSpace(person) ? null : person.Trim()), Note = string.IsNullOrWhiteSpace(note) ? null : note.Trim() };
        var result = await AlarmEndpoints.AcknowledgeAsync(alarm, by, HttpContext, alarms, clock);
        if (result is Ok<AlarmView>)
        {
            return Redirect("/desk/operations?done=alarm");
        }

        Refused = result is ProblemHttpResult { ProblemDetails: { } problem } ? $"{problem.Title}. {problem.Detail}" : "It was not recorded.";
        Response.StatusCode = StatusCodes.Status422UnprocessableEntity;
        return Page();
    }

    private async Task<IActionResult?> ReadAsync()
    {
        if (!desk.May(PersonRole.Operator, PersonRole.ClinicalLead, PersonRole.PracticeManager))
        {
            return new ForbiddenPage();
        }

        var (stop, everything) = (HttpContext.RequestAborted, new Reach.Everything("operations page"));
        Now = clock.GetUtcNow();
        var own = Callers.Of(HttpContext).Clinic;
        var all = (await matters.ReadAsync(Now, stop)).Where(matter => own is null || matter.ClinicId == own || matter.ClinicId.Length == 0).ToLookup(MatterWords.Waits, StringComparer.Ordinal);
        Waiting = [.. Order.Select(on => (on, (IReadOnlyList<OpenMatter>)[.. all[on]]))];
        Alarms = (await alarms.ListAsync(desk.Reach, openOnly: true, null, 50, stop)).Items;
        Depth = await outbox.DepthAsync(desk.Reach, stop);
        Destinations = await destinations.ListAsync(everything, stop);
        Hours = await attempts.AttemptsAsync(everything, Now.AddHours(-24), stop);
        return null;
    }
}
