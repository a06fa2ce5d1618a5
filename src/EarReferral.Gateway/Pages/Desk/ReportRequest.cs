using System.Globalization;
using EarReferral.Gateway.Reports;
using EarReferral.Gateway.Security.People;

namespace EarReferral.Gateway.Pages.Desk;

/// <summary>Which report a page is asked for, and what of it the person may see.</summary>
internal sealed class ReportRequest(ClinicReportReader reader, DeskReach desk, TimeProvider clock)
{
    /// <summary>Who may see figures at all.</summary>
    public bool MayRead => desk.May(PersonRole.Clinician, PersonRole.ClinicalLead, PersonRole.PracticeManager);

    /// <summary>Who may see small counts, and which visits were counted.</summary>
    public bool SeesVisits => desk.May(PersonRole.Clinician, PersonRole.ClinicalLead);

    /// <summary>First day of the month that a text names, of this month where it names none; null when it is no month.</summary>
    public DateOnly? Month(string? text) => string.IsNullOrEmpty(text) ? new DateOnly(clock.GetUtcNow().Year, clock.GetUtcNow().Month, 1)
        : DateOnly.TryParseExact(text + "-01", "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var day) && day.Year is > 2000 and < 2200 ? day
        : null;

    /// <summary>The clinics with a visit in the month.</summary>
    public Task<IReadOnlyList<string>> ClinicsAsync(DateOnly month, CancellationToken stop) => reader.ClinicsAsync(desk.Reach, month, stop);

    /// <summary>The report; a clinic out of reach has an empty one, like a clinic that does not exist.</summary>
    public Task<ClinicReport> ReadAsync(string clinic, DateOnly month, CancellationToken stop) => reader.ReadAsync(desk.Reach, clinic, month, clock.GetUtcNow(), stop);
}
