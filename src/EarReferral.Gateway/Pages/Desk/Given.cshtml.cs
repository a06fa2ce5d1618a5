using System.Globalization;
using System.Text.Json.Nodes;
using EarReferral.Gateway.Intake;
using EarReferral.Gateway.Security.People;
using EarReferral.Storage.Audit;
using EarReferral.Storage.Encounters;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;

namespace EarReferral.Gateway.Pages.Desk;

/// <summary>Writes down that a summary was handed over where no practice fetches it, by the function behind <c>POST /encounters/{id}/summary-given</c>.</summary>
internal sealed class GivenModel(EncounterStore encounters, AuditStore audit, DeskReach desk, TimeProvider clock) : PageModel
{
    public static IReadOnlyList<(string Code, string Words)> Ways { get; } = [("patientCopy", "The printed copy, by hand"), ("post", "By post"), ("secureEmail", "By secure e-mail"), ("phone", "Told by telephone")];

    public static IReadOnlyList<(string Code, string Words)> Receivers { get; } = [("patient", "The patient"), ("carer", "Their carer"), ("practice", "The GP practice")];

    public StoredEncounter Visit { get; private set; } = null!;

    /// <summary>Id of the summary, for the links to what is handed over; null where there is none.</summary>
    public string? SummaryId { get; private set; }

    public string? SignedIn => desk.Person.Name;

    public string? Refused { get; private set; }

    public Dictionary<string, string> Problems { get; } = new(StringComparer.Ordinal);

    /// <summary>What a field holds.</summary>
    public string Value(string name) => Request.HasFormContentType ? Request.Form[name].ToString() : string.Empty;

    public async Task<IActionResult> OnGetAsync(Guid id) => await FindAsync(id) ?? Page();

    public async Task<IActionResult> OnPostAsync(Guid id)
    {
        if (await FindAsync(id) is { } other)
        {
            return other;
        }

        var given = new SummaryGiven { Person = SignedIn ?? Written("person"), Way = Written("way"), To = Written("to"), At = clock.GetUtcNow() };
        switch (await SummaryGivenEndpoint.PostAsync(id, given, HttpContext, encounters, audit, clock))
        {
            case NoContent:
                return Redirect("/desk/referrals?done=given");
            case ProblemHttpResult { ProblemDetails: { } problem }:
                Refused = $"{problem.Title}. {problem.Detail}";
                foreach (var error in problem.Extensions.TryGetValue("errors", out var errors) ? System.Text.Json.JsonSerializer.SerializeToNode(errors)!.AsArray() : [])
                {
                    Problems[((string)error!["pointer"]!).TrimStart('/')] = (string)error["detail"]!;
                }

                Response.StatusCode = problem.Status ?? StatusCodes.Status409Conflict;
                return Page();
            case var result:
                throw new InvalidOperationException(string.Create(CultureInfo.InvariantCulture, $"{result.GetType().Name} is no answer to a form."));
        }
    }

    private string? Written(string name) => Request.Form[name].ToString() is { } text && !string.IsNullOrWhiteSpace(text) ? text.Trim() : null;

    private async Task<IActionResult?> FindAsync(Guid id)
    {
        if (!desk.May(PersonRole.Clinician, PersonRole.ClinicalLead, PersonRole.PracticeManager))
        {
            return new ForbiddenPage();
        }

        if (await encounters.FindAsync(desk.Reach, id, HttpContext.RequestAborted) is not { } visit)
        {
            return NotFound();
        }

        Visit = visit;
        SummaryId = (string?)JsonNode.Parse(visit.Receipt.Span)!["summary"] is { } address ? address.Split('/')[^2] : null;
        return null;
    }
}
