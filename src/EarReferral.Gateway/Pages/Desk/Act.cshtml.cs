using System.Globalization;
using EarReferral.Delivery;
using EarReferral.Gateway.Referrals;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Referrals;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Pages.Desk;

/// <summary>One form for one act; it says what follows before it is done, and every problem beside its field.</summary>
internal sealed class ActModel(ReferralStore referrals, EncounterStore encounters, PageAudit audit, DeskReach desk, TimeProvider clock, IOptions<DeliveryOptions> delivery) : PageModel
{
    public DeskAct Act { get; private set; } = null!;

    public StoredReferral Referral { get; private set; } = null!;

    public string VisitNumber { get; private set; } = string.Empty;

    public string Zone { get; private set; } = "Europe/London";

    public string ETag { get; private set; } = string.Empty;

    public string? SignedIn => desk.Person.Name;

    /// <summary>Why it was not done; null before anything was tried.</summary>
    public string? Refused { get; private set; }

    /// <summary>Problems by field.</summary>
    public Dictionary<string, string> Problems { get; } = new(StringComparer.Ordinal);

    /// <summary>Choices of a field, destinations among them.</summary>
    public IReadOnlyList<(string Code, string Words)> Choices(DeskField field) => field.OfDestinations
        ? [.. delivery.Value.Destinations.Where(each => each.Key != Referral.Destination && each.Value.Takes(Referral.Tier)).Select(each => (each.Key, each.Value.Name ?? each.Key))]
        : field.Choices;

    /// <summary>What a field holds: what was sent, or a sensible beginning.</summary>
    public string Value(string name) => Request.HasFormContentType ? Request.Form[name].ToString()
        : name == "at" ? TimeZoneInfo.ConvertTime(clock.GetUtcNow(), TimeZoneInfo.FindSystemTimeZoneById(Zone)).ToString("yyyy-MM-dd'T'HH:mm", CultureInfo.InvariantCulture)
        : string.Empty;

    public async Task<IActionResult> OnGetAsync(string id, string act) => await FindAsync(id, act) ?? Page();

    public async Task<IActionResult> OnPostAsync(string id, string act)
    {
        if (await FindAsync(id, act) is { } other)
        {
            return other;
        }

        var form = new DeskForm(
            SignedIn ?? Written("person"), Written("etag") ?? string.Empty,
            Act.Fields.Where(field => Written(field.Name) is not null).ToDictionary(field => field.Name, field => Written(field.Name)!, StringComparer.Ordinal), Instant());
        var result = await Act.DoAsync(HttpContext, id, form);
        Response.Headers.ETag = default;
        if (result is Ok<ReferralView>)
        {
            return Redirect($"/desk/referrals/{id}?done={act}");
        }

        if (result is ProblemHttpResult { ProblemDetails: { } problem })
        {
            Refused = $"{problem.Title}. {problem.Detail}";
            foreach (var error in problem.Extensions.TryGetValue("errors", out var errors) ? System.Text.Json.JsonSerializer.SerializeToNode(errors)!.AsArray() : [])
            {
                Problems[((string)error!["pointer"]!).TrimStart('/')] = (string)error["detail"]!;
            }

            Response.StatusCode = problem.Status ?? StatusCodes.Status409Conflict;
            return Page();
        }

        throw new InvalidOperationException($"{result.GetType().Name} is no answer to a form.");
    }

    private async Task<IActionResult?> FindAsync(string id, string act)
    {
        var stop = HttpContext.RequestAborted;
        if (DeskActs.All.FirstOrDefault(each => each.Word == act) is not { } known || await referrals.FindAsync(desk.Reach, id, stop) is not { } referral)
        {
            return NotFound();
        }

        if (!desk.May([.. known.Roles]))
        {
            return new ForbiddenPage();
        }

        (Act, Referral, ETag) = (known, referral, ReferralEndpoints.Tag(referral));
        if (await encounters.FindAsync(desk.Reach, referral.EncounterKey, stop) is { } visit)
        {
            (VisitNumber, Zone) = (visit.ClinicEncounterId, visit.TimeZone);
        }

        await audit.ShownAsync("ServiceRequest", [id]);
        return null;
    }

    private string? Written(string name) => Request.Form[name].ToString() is { } text && !string.IsNullOrWhiteSpace(text) ? text.Trim() : null;

    /// <summary>What the clinic's clock showed. An hour that comes twice in autumn is read as its second time, which is the later one and never claims more time than passed.</summary>
    private DateTimeOffset? Instant()
    {
        if (!DateTime.TryParseExact(Written("at"), ["yyyy-MM-dd'T'HH:mm", "yyyy-MM-dd'T'HH:mm:ss"], CultureInfo.InvariantCulture, DateTimeStyles.None, out var local))
        {
            return null;
        }

        var zone = TimeZoneInfo.FindSystemTimeZoneById(Zone);
        var real = zone.IsInvalidTime(local) ? local.AddHours(1) : local;
        return new DateTimeOffset(real, zone.IsAmbiguousTime(real) ? zone.GetAmbiguousTimeOffsets(real).Min() : zone.GetUtcOffset(real));
    }
}
