using EarReferral.Delivery;
using EarReferral.Delivery.Destinations;
using EarReferral.Gateway.Attention;
using EarReferral.Gateway.Intake;
using EarReferral.Gateway.Referrals;
using EarReferral.Gateway.Security.People;
using EarReferral.Referrals.Clocks;
using EarReferral.Storage.Referrals;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;

namespace EarReferral.Gateway.Pages.Desk;

/// <summary>The open list: is anything that I raised not yet received, not yet accepted, overdue?</summary>
internal sealed class ReferralsModel(OpenReferralList list, ReferralStore referrals, ClockReader clocks, DestinationDirectory directory, OpenMatters matters, PageAudit audit, DeskReach desk, TimeProvider clock) : PageModel
{
    /// <summary>Lines of one page; few enough to be read and to be made in an instant.</summary>
    public const int PageSize = 25;

    private static readonly (string Word, OpenFilter Filter, string Words)[] Filters =
    [
        ("all", OpenFilter.All, "All open"),
        ("urgent", OpenFilter.Urgent, "Emergency and immediate"),
        ("not-arrived", OpenFilter.NotDelivered, "Not arrived"),
        ("not-accepted", OpenFilter.NotAccepted, "Not accepted"),
        ("person", OpenFilter.NeedsPerson, "Needs a person"),
    ];

    [BindProperty(SupportsGet = true)]
    public string? Show { get; set; }

    [BindProperty(SupportsGet = true, Name = "page-number")]
    public int Number { get; set; } = 1;

    public int Total { get; private set; }

    public int Pages => Math.Max(1, (Total + PageSize - 1) / PageSize);

    public DateTimeOffset Now { get; private set; }

    public IReadOnlyList<OpenLine> Lines { get; private set; } = [];

    /// <summary>Visits that wait for an answer, were kept back or refused: they have no referral, and their urgency is not settled.</summary>
    public IReadOnlyList<OpenMatter> Visits { get; private set; } = [];

    public IEnumerable<(string Word, string Words, bool IsShown)> Choices => Filters.Select(each => (each.Word, each.Words, each.Word == (Show ?? "all")));

    public async Task<IActionResult> OnGetAsync()
    {
        if (!desk.May(PersonRole.Clinician, PersonRole.ClinicalLead, PersonRole.PracticeManager, PersonRole.Operator))
        {
            return new ForbiddenPage();
        }

        var filter = Filters.FirstOrDefault(each => each.Word == (Show ?? "all"));
        if (filter.Word is null)
        {
            return NotFound();
        }

        var stop = HttpContext.RequestAborted;
        Now = clock.GetUtcNow();
        var page = await list.ReadAsync(desk.Reach, filter.Filter, (Math.Clamp(Number, 1, 100_000) - 1) * PageSize, PageSize, stop);
        Total = page.Total;
        var lines = new List<OpenLine>();
        foreach (var line in page.Lines)
        {
            var readings = await clocks.ReadAsync(line.Referral, Now, stop);
            var phone = ReferralEndpoints.PhoneNow(line.Referral) && ClockReader.TakenByPhone(await referrals.TimelineAsync(desk.Reach, line.Referral.ReferralId, stop)) is null;
            lines.Add(new OpenLine(
                line,
                PatientLine.Of(line.Patient),
                DeskWords.State(line.Referral),
                readings.Where(reading => reading.State is ClockState.Running or ClockState.Expired).MinBy(reading => reading.ExpiresAt),
                directory.ContactAt(line.Referral.Destination, Now),
                phone));
        }

        Lines = lines;
        Visits = (Show ?? "all") is "all" or "urgent" or "person" && Number <= 1
            ? [.. (await matters.ReadAsync(Now, stop)).Where(matter => matter.ReferralId is null && matter.EncounterId is not null && (Callers.Of(HttpContext).Clinic is not { } own || own == matter.ClinicId) && (Show != "urgent" || matter.Tier is "T0" or "T1")).Take(PageSize)]
            : [];
        await audit.ShownAsync("ServiceRequest", [.. lines.Select(line => line.Line.Referral.ReferralId)]);
        return Page();
    }
}

/// <summary>One line as it is shown.</summary>
internal sealed record OpenLine(OpenReferralLine Line, PatientLine Patient, StateWords State, ClockReading? Next, Contact? Contact, bool PhoneNow);
