using System.Globalization;
using System.Text;
using EarReferral.Gateway.Reports;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;

namespace EarReferral.Gateway.Pages.Desk;

/// <summary>What one clinic did in a month; each figure leads to the visits behind it, for those who treat the patients.</summary>
internal sealed class ReportModel(ReportRequest request) : PageModel
{
    [BindProperty(SupportsGet = true, Name = "month")]
    public string? Asked { get; set; }

    [BindProperty(SupportsGet = true)]
    public string? Clinic { get; set; }

    public DateOnly Month { get; private set; }

    public string MonthText => Month.ToString("yyyy-MM", CultureInfo.InvariantCulture);

    public IReadOnlyList<string> Clinics { get; private set; } = [];

    public ClinicReport? Report { get; private set; }

    public bool SeesVisits => request.SeesVisits;

    public async Task<IActionResult> OnGetAsync() => await ReadAsync() ?? Page();

    /// <summary>The same figures as a file.</summary>
    public async Task<IActionResult> OnGetCsvAsync() => await ReadAsync() ?? (Report is { } report
        ? File(Encoding.UTF8.GetBytes(ReportCsv.Write(report, hide: !SeesVisits)), "text/csv; charset=utf-8", $"clinic-report-{MonthText}.csv")
        : NotFound());

    private async Task<IActionResult?> ReadAsync()
    {
        if (!request.MayRead)
        {
            return new ForbiddenPage();
        }

        if (request.Month(Asked) is not { } month)
        {
            return NotFound();
        }

        Month = month;
        Clinics = await request.ClinicsAsync(month, HttpContext.RequestAborted);
        if ((Clinic ?? (Clinics.Count > 0 ? Clinics[0] : null)) is { } clinic)
        {
            Clinic = clinic;
            Report = await request.ReadAsync(clinic, month, HttpContext.RequestAborted);
        }

        return null;
    }
}
