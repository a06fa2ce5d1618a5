using EarReferral.Storage.Encounters;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Identity;

/// <summary>Keeps who each visit says its patient is and lists what contradicts, within the caller's transaction.</summary>
/// <remarks>The caller holds the lock of the clinic, so that what the visits of one patient say stands still.</remarks>
internal static class IdentityLinks
{
    /// <summary>Keeps what the visit says now; what it said before is replaced.</summary>
    public static async Task KeepAsync(StoreContext store, EncounterRevision revision, PatientLink link, CancellationToken cancellationToken)
    {
        var ofPatient = await OfPatient(store, revision.PatientKey).AsNoTracking().ToListAsync(cancellationToken);
        var numbers = await LockAsync(store, [.. ofPatient.Select(row => row.NhsNumber), link.NhsNumber], cancellationToken);

        // Later than anything kept of the patient, whatever the clock says: the order tells which visit the Patient resource shows.
        var at = ofPatient.Select(row => row.RecordedAt.AddMilliseconds(1)).Append(revision.ReceivedAt).Max();
        await store.Database.ExecuteSqlAsync(
            $"""
            INSERT INTO patient_link (encounter_key, patient_key, nhs_number, verified, birth_date, clinic_id, practice_ods,
                recorded_at, retracted, counts)
            VALUES ({revision.EncounterKey}, {revision.PatientKey}, {link.NhsNumber}, {link.Verified}, {link.BirthDate},
                {revision.ClinicId}, {revision.PracticeOds}, {at.ToUnixTimeMilliseconds()}, {false}, {false})
            ON CONFLICT (encounter_key) DO UPDATE SET nhs_number = excluded.nhs_number, verified = excluded.verified,
                birth_date = excluded.birth_date, practice_ods = excluded.practice_ods, recorded_at = excluded.recorded_at
            """,
            cancellationToken);
        await SettleAsync(store, revision.PatientKey, numbers, revision.ReceivedAt, cancellationToken);
    }

    /// <summary>Notes that the visit was taken back.</summary>
    public static async Task RetractAsync(StoreContext store, EncounterRevision revision, CancellationToken cancellationToken)
    {
        var before = await OfPatient(store, revision.PatientKey).Select(row => row.NhsNumber).ToListAsync(cancellationToken);
        var numbers = await LockAsync(store, before, cancellationToken);
        await store.PatientLinks
            .Where(row => row.EncounterKey == revision.EncounterKey)
            .ExecuteUpdateAsync(set => set.SetProperty(row => row.Retracted, true), cancellationToken);
        await SettleAsync(store, revision.PatientKey, numbers, revision.ReceivedAt, cancellationToken);
    }

    /// <summary>
    /// Waits until nobody else changes who has these numbers: two clinics that link one number at the same time must see each
    /// other, or the clash is missed. Always in the same order, so that two writers cannot wait for each other.
    /// </summary>
    public static async Task<IReadOnlyList<string>> LockAsync(
        StoreContext store, IEnumerable<string?> numbers, CancellationToken cancellationToken)
    {
        List<string> wanted = [.. numbers.OfType<string>().Distinct().Order(StringComparer.Ordinal)];
        foreach (var number in wanted)
        {
            await store.LockAsync($"nhs-number {number}", cancellationToken);
        }

        return wanted;
    }

    /// <summary>Finds anew what contradicts, for the patient and for whoever shares one of the numbers.</summary>
    public static async Task SettleAsync(
        StoreContext store, Guid patientKey, IReadOnlyList<string> numbers, DateTimeOffset now, CancellationToken cancellationToken)
    {
        var claims = await OfPatient(store, patientKey).ToListAsync(cancellationToken);
        var live = IdentityRule.Live(claims);
        var decision = await store.IdentityDecisions.SingleOrDefaultAsync(row => row.PatientKey == patientKey && row.Holds, cancellationToken);
        if (decision is not null && decision.Facts != IdentityRule.Facts(live))
        {
            decision.Holds = false;
            decision = null;
        }

        foreach (var claim in claims)
        {
            claim.Counts = IdentityRule.Counts(claim, live, decision?.Linked);
        }

        await store.SaveChangesAsync(cancellationToken);

        var found = decision is null
            ? IdentityRule.Own(live).Select(kind => Conflict(live[^1], kind, string.Empty, now)).ToList()
            : [];
        foreach (var number in numbers)
        {
            found.AddRange(await ClashesAsync(store, number, now, cancellationToken));
        }

        await ListAsync(store, patientKey, numbers, found, cancellationToken);
    }

    private static async Task<IEnumerable<IdentityConflictRow>> ClashesAsync(
        StoreContext store, string number, DateTimeOffset now, CancellationToken cancellationToken)
    {
        var ofNumber = await store.PatientLinks.AsNoTracking()
            .Where(row => row.NhsNumber == number && row.Counts)
            .OrderBy(row => row.RecordedAt)
            .ToListAsync(cancellationToken);
        var keys = ofNumber.Select(row => row.PatientKey).Distinct().ToList();
        var linked = await store.IdentityDecisions
            .Where(row => row.Holds && row.Linked && keys.Contains(row.PatientKey))
            .Select(row => row.PatientKey)
            .ToListAsync(cancellationToken);
        return IdentityRule.Clashing(ofNumber, linked.ToHashSet())
            .Select(key => Conflict(ofNumber.Last(row => row.PatientKey == key), IdentityConflictKind.SharedNumber, number, now));
    }

    /// <summary>What is still found keeps the time since when it waits.</summary>
    private static async Task ListAsync(
        StoreContext store, Guid patientKey, IReadOnlyList<string> numbers, List<IdentityConflictRow> found, CancellationToken cancellationToken)
    {
        var listed = await store.IdentityConflicts
            .Where(row => (row.PatientKey == patientKey && row.NhsNumber == string.Empty) || numbers.Contains(row.NhsNumber))
            .ToListAsync(cancellationToken);
        store.RemoveRange(listed.Where(old => !found.Exists(row => Same(row, old))));
        store.AddRange(found.Where(row => !listed.Exists(old => Same(row, old))));
        await store.SaveChangesAsync(cancellationToken);
    }

    private static bool Same(IdentityConflictRow one, IdentityConflictRow other) =>
        (one.PatientKey, one.Kind, one.NhsNumber) == (other.PatientKey, other.Kind, other.NhsNumber);

    private static IdentityConflictRow Conflict(PatientLinkRow of, IdentityConflictKind kind, string number, DateTimeOffset now) => new()
    {
        PatientKey = of.PatientKey,
        Kind = kind,
        NhsNumber = number,
        ClinicId = of.ClinicId,
        PracticeOds = of.PracticeOds,
        FoundAt = now,
    };

    private static IQueryable<PatientLinkRow> OfPatient(StoreContext store, Guid patientKey) =>
        store.PatientLinks.Where(row => row.PatientKey == patientKey);
}
