using EarReferral.Storage.Resources;
using EarReferral.Storage.Schema;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Referrals;

/// <summary>Which open referrals are wanted.</summary>
public enum OpenFilter
{
    /// <summary>All that somebody waits for.</summary>
    All,

    /// <summary>T0 and T1.</summary>
    Urgent,

    /// <summary>Not proved to be stored at the receiver.</summary>
    NotDelivered,

    /// <summary>Stored there, and nobody there has accepted it.</summary>
    NotAccepted,

    /// <summary>A person must act before anything goes on.</summary>
    NeedsPerson,
}

/// <summary>One line of the list of open referrals.</summary>
/// <param name="Referral">The referral, without the bytes that are sent.</param>
/// <param name="VisitNumber">The clinic's own number of the visit.</param>
/// <param name="TimeZone">IANA zone of the clinic.</param>
/// <param name="Patient">The Patient resource; null where none is stored.</param>
/// <param name="Attempts">How often it was tried to send it.</param>
/// <param name="LastAttempt">When last; null when never.</param>
public sealed record OpenReferralLine(StoredReferral Referral, string VisitNumber, string TimeZone, StoredResource? Patient, int Attempts, DateTimeOffset? LastAttempt);

/// <summary>A page of the list, and how many lines there are in all.</summary>
public sealed record OpenReferralPage(int Total, IReadOnlyList<OpenReferralLine> Lines);

/// <summary>The list of referrals that somebody waits for, as people look at it: T0 and T1 first, then by clinical deadline.</summary>
public sealed class OpenReferralList
{
    private readonly StoreDatabase database;

    internal OpenReferralList(StoreDatabase database) => this.database = database;

    /// <summary>Some lines of it.</summary>
    public Task<OpenReferralPage> ReadAsync(Reach reach, OpenFilter filter, int skip, int take, CancellationToken cancellationToken) => database.ReadAsync(async store =>
    {
        var open = store.Referrals.Within(reach).Where(row => row.State != ReferralState.Closed && row.State != ReferralState.Withdrawn);
        open = filter switch
        {
            OpenFilter.All => open,
            OpenFilter.Urgent => open.Where(row => row.Tier == "T0" || row.Tier == "T1"),
            OpenFilter.NotDelivered => open.Where(row => row.State != ReferralState.Delivered),
            OpenFilter.NotAccepted => open.Where(row => row.State == ReferralState.Delivered && (row.TaskStatus == "requested" || row.TaskStatus == "received" || row.TaskStatus == "rejected")),
            OpenFilter.NeedsPerson => open.Where(row => row.State == ReferralState.NeedsHuman || row.State == ReferralState.Held || row.State == ReferralState.WithdrawnAfterSending || row.ReplacedBy != null
                || row.BusinessStatus == "awaiting-information" || row.TaskStatus == "rejected" || row.TaskStatus == "failed" || row.TaskStatus == "completed" || row.TaskStatus == "cancelled"),
            _ => throw new ArgumentOutOfRangeException(nameof(filter)),
        };
        var total = await open.CountAsync(cancellationToken);
        var rows = await open
            .OrderBy(row => row.Tier == "T0" || row.Tier == "T1" ? 0 : 1).ThenBy(row => row.Due == null).ThenBy(row => row.Due).ThenBy(row => row.ReferralId)
            .Skip(skip).Take(take)
            .Select(ReferralLines.WithoutBytes)
            .ToListAsync(cancellationToken);
        var (visitKeys, patientKeys, ids) = (rows.ConvertAll(row => row.EncounterKey), rows.ConvertAll(row => (Guid?)row.PatientKey), rows.ConvertAll(row => row.ReferralId));
        var visits = (await store.Encounters.Where(row => visitKeys.Contains(row.EncounterKey)).Select(row => new { row.EncounterKey, row.ClinicEncounterId, row.TimeZone }).Distinct().ToListAsync(cancellationToken)).ToLookup(row => row.EncounterKey);
        var patients = (await ResourceStore.LoadAsync(store, await store.Resources.Where(row => row.Type == "Patient" && patientKeys.Contains(row.PatientKey)).Select(row => row.Key).ToListAsync(cancellationToken), cancellationToken))
            .Values.ToLookup(resource => resource.PatientKey);
        var attempts = (await store.Attempts.Where(row => ids.Contains(row.ReferralId)).GroupBy(row => row.ReferralId).Select(group => new { group.Key, Count = group.Count(), Last = group.Max(row => row.At) }).ToListAsync(cancellationToken))
            .ToDictionary(row => row.Key, StringComparer.Ordinal);
        return new OpenReferralPage(total, [.. rows.Select(row => new OpenReferralLine(
            row,
            visits[row.EncounterKey].FirstOrDefault()?.ClinicEncounterId ?? string.Empty,
            visits[row.EncounterKey].FirstOrDefault()?.TimeZone ?? "Europe/London",
            patients[row.PatientKey].FirstOrDefault(),
            attempts.GetValueOrDefault(row.ReferralId)?.Count ?? 0,
            attempts.GetValueOrDefault(row.ReferralId)?.Last))]);
    });

    /// <summary>How many attempts ended in which way, by hour, since an instant.</summary>
    public Task<IReadOnlyList<AttemptsInHour>> AttemptsAsync(Reach.Everything reach, DateTimeOffset since, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(reach);
        return database.ReadAsync<IReadOnlyList<AttemptsInHour>>(async store =>
        {
            var rows = await store.Attempts.Where(row => row.At >= since).Select(row => new { row.At, row.Outcome }).ToListAsync(cancellationToken);
            return [.. rows.GroupBy(row => new DateTimeOffset(row.At.UtcDateTime.Date.AddHours(row.At.UtcDateTime.Hour), TimeSpan.Zero))
                .OrderBy(hour => hour.Key)
                .Select(hour => new AttemptsInHour(hour.Key, hour.Count(row => row.Outcome == "delivered"), hour.Count(row => row.Outcome != "delivered")))];
        });
    }
}

/// <summary>Attempts of one hour.</summary>
/// <param name="Hour">Its beginning, in UTC.</param>
/// <param name="Delivered">Attempts that proved delivery.</param>
/// <param name="Others">All others.</param>
public sealed record AttemptsInHour(DateTimeOffset Hour, int Delivered, int Others);
