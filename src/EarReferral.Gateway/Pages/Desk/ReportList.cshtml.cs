using System.Globalization;
using EarReferral.Gateway.Reports;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;

namespace EarReferral.Gateway.Pages.Desk;

/// <summary>What one figure of the report counted, one by one; for those who treat the patients.</summary>
internal sealed class ReportListModel(ReportRequest request, PageAudit audit) : PageModel
{
    public ReportGroup Group { get; private set; } = null!;

    public ReportFigure Figure { get; private set; } = null!;

    public string Month { get; private set; } = string.Empty;

    public string Clinic { get; private set; } = string.Empty;

    public async Task<IActionResult> OnGetAsync(string? month, string? clinic, string? figure)
    {
        if (!request.SeesVisits)
        {
            return new ForbiddenPage();
        }

        if (request.Month(month) is not { } first || clinic is null || figure is null
            || (await request.ReadAsync(clinic, first, HttpContext.RequestAborted)).Find(figure) is not { } found)
        {
            return NotFound();
        }

        (Group, Figure, Month, Clinic) = (found.Group, found.Figure, first.ToString("yyyy-MM", CultureInfo.InvariantCulture), clinic);
        if (Figure.Items.Select(item => item.Visit).OfType<Guid>().Distinct().Select(visit => visit.ToString()).ToList() is { Count: > 0 } shown)
        {
            await audit.ShownAsync("Encounter", shown);
        }

        return Page();
    }
}
