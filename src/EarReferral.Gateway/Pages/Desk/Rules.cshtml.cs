using EarReferral.Gateway.Rules;
using EarReferral.Gateway.Security.People;
using EarReferral.Storage;
using EarReferral.Triage.Rules;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;

namespace EarReferral.Gateway.Pages.Desk;

/// <summary>The rules that decide, each with its source, and what another set would have decided.</summary>
internal sealed class RulesModel(RuleBook book, RuleComparison comparison, IConfiguration configuration, DeskReach desk) : PageModel
{
    public ActiveRules Active { get; private set; } = null!;

    /// <summary>Names of the candidate sets that lie ready.</summary>
    public IReadOnlyList<string> Candidates { get; private set; } = [];

    public bool MayCompare => desk.May(PersonRole.ClinicalLead, PersonRole.Operator);

    public ComparisonReport? Report { get; private set; }

    public string? Refused { get; private set; }

    public IActionResult OnGet() => Read() is { } other ? other : Page();

    /// <summary>Tries a candidate on the stored encounters; changes nothing.</summary>
    public async Task<IActionResult> OnPostAsync([FromForm] string? candidate)
    {
        if (Read() is { } other)
        {
            return other;
        }

        if (!MayCompare)
        {
            return new ForbiddenPage();
        }

        // Found among the folders that are there, never built from what was written.
        if (Candidates.FirstOrDefault(each => each == candidate) is not { } named)
        {
            Refused = "No candidate of this name lies ready. Nothing was compared.";
            Response.StatusCode = StatusCodes.Status404NotFound;
            return Page();
        }

        try
        {
            var folder = Path.Combine(configuration["Rules:Candidates"]!, named);
            Report = await comparison.RunAsync(
                new Reach.Everything("rule comparison"), RuleFolder.LoadChecked(folder, configuration["Rules:Overlay"] is { Length: > 0 } overlay ? overlay : null), null, _ => { }, HttpContext.RequestAborted);
        }
        catch (InvalidRuleBookException unsound)
        {
            Refused = $"The candidate set is not sound, so nothing was compared. {unsound.Message}";
            Response.StatusCode = StatusCodes.Status422UnprocessableEntity;
        }

        return Page();
    }

    private ForbiddenPage? Read()
    {
        if (!desk.May(PersonRole.Clinician, PersonRole.ClinicalLead, PersonRole.Operator, PersonRole.Integrator))
        {
            return new ForbiddenPage();
        }

        Active = ActiveRules.Of(book);
        Candidates = configuration["Rules:Candidates"] is { } folder && Directory.Exists(folder) ? [.. Directory.EnumerateDirectories(folder).Select(each => Path.GetFileName(each)).Order(StringComparer.Ordinal)] : [];
        return null;
    }
}
