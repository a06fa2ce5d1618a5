using EarReferral.Delivery;
using EarReferral.Encounters;
using EarReferral.Encounters.Reading;
using EarReferral.Gateway.Intake;
using EarReferral.Gateway.Vocabulary;
using EarReferral.Referrals.Clocks;
using EarReferral.Storage;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Refusals;

namespace EarReferral.Gateway.Reports;

/// <summary>Counts a clinic's month from what is stored, each time anew; nothing is kept, so a correction is in the next reading.</summary>
internal sealed class ClinicReportReader(EncounterStore encounters, ReferralLines referrals, RefusalStore refusals, ClinicVocabularies vocabularies, ClockReader clocks)
{
    // Clocks of clinics are at most this far from UTC, so every visit of the month lies in the wider span.
    private static readonly TimeSpan Margin = TimeSpan.FromHours(15);

    /// <summary>The clinics that have a visit in a month.</summary>
    public async Task<IReadOnlyList<string>> ClinicsAsync(Reach reach, DateOnly month, CancellationToken stop) =>
        [.. (await VisitsAsync(reach, month, stop)).Select(visit => visit.ClinicId).Distinct(StringComparer.Ordinal).Order(StringComparer.Ordinal)];

    /// <summary>The report.</summary>
    /// <param name="reach">Whose data the reader may see.</param>
    /// <param name="clinic">The clinic.</param>
    /// <param name="month">First day of the month.</param>
    /// <param name="now">The instant it is counted at.</param>
    /// <param name="stop">Stops it.</param>
    public async Task<ClinicReport> ReadAsync(Reach reach, string clinic, DateOnly month, DateTimeOffset now, CancellationToken stop)
    {
        var visits = (await VisitsAsync(reach, month, stop)).Where(visit => visit.ClinicId == clinic).Select(Tally).ToList();
        var numbers = visits.ToDictionary(visit => visit.Stored.EncounterKey, visit => visit.Stored.ClinicEncounterId);
        var waits = new List<(StoredReferral, string, IReadOnlyList<ClockReading>, bool)>();
        foreach (var referral in (await referrals.DecidedAsync(reach, Start(month) - Margin, Start(month.AddMonths(1)) + Margin, stop)).Where(referral => numbers.ContainsKey(referral.EncounterKey)))
        {
            waits.Add((referral, numbers[referral.EncounterKey], await clocks.AsTheyStandAsync(referral, now, stop), ClockReader.IsRunning(referral)));
        }

        var open = new List<(StoredReferral, string)>();
        foreach (var referral in (await referrals.OpenAsync(reach, stop)).Where(referral => referral.ClinicId == clinic))
        {
            open.Add((referral, numbers.GetValueOrDefault(referral.EncounterKey) ?? (await encounters.FindAsync(reach, referral.EncounterKey, stop))?.ClinicEncounterId ?? string.Empty));
        }

        var zone = TimeZoneInfo.FindSystemTimeZoneById(visits.Select(visit => visit.Stored.TimeZone).FirstOrDefault() ?? "Europe/London");
        var refused = (await refusals.RefusedAsync(reach, Start(month) - Margin, Start(month.AddMonths(1)) + Margin, stop)).Where(refusal => refusal.ClinicId == clinic && IsIn(month, refusal.At, zone)).ToList();
        return new ClinicReport(month, clinic, now, [.. ReportGroups.OfVisits(visits), .. ReferralWaits.Groups(waits), ReferralWaits.OpenByAge(open, now), ReportGroups.Refused(refused)]);
    }

    private static DateTimeOffset Start(DateOnly day) => new(day.ToDateTime(TimeOnly.MinValue), TimeSpan.Zero);

    private static bool IsIn(DateOnly month, DateTimeOffset instant, TimeZoneInfo zone)
    {
        var local = TimeZoneInfo.ConvertTime(instant, zone);
        return local.Year == month.Year && local.Month == month.Month;
    }

    private async Task<IReadOnlyList<StoredEncounter>> VisitsAsync(Reach reach, DateOnly month, CancellationToken stop) =>
        [.. (await encounters.DecidedAsync(reach, Start(month) - Margin, Start(month.AddMonths(1)) + Margin, stop)).Where(visit => IsIn(month, visit.EvaluatedAt, TimeZoneInfo.FindSystemTimeZoneById(visit.TimeZone)))];

    private VisitTally Tally(StoredEncounter stored) => new(stored, stored.IsRetracted ? null : Read(stored), stored.IsRetracted ? null : KeptDecision.Of(stored));

    private ClinicEncounter? Read(StoredEncounter stored)
    {
        try
        {
            return EncounterReader.ReadAccepted(stored.Raw, vocabularies.All);
        }
        catch (InvalidDataException)
        {
            // Accepted under a contract that this program no longer knows; it is counted as such, never as anything else.
            return null;
        }
    }
}
