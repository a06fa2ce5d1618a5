using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Identity;

/// <summary>Hands out the random seeds that resource ids follow from. Two clinics with one patient get two patients.</summary>
public sealed class IdentityStore
{
    private readonly StoreDatabase database;

    internal IdentityStore(StoreDatabase database) => this.database = database;

    /// <summary>The seeds of an encounter; new ones are kept at once, so that a repeat gets the same.</summary>
    public async Task<IdentitySeeds> ResolveAsync(
        string clinicId, string encounterId, string patientId, string practitionerId, CancellationToken cancellationToken)
    {
        (IdentityKind Kind, string LocalId)[] wanted =
        [
            (IdentityKind.Encounter, encounterId),
            (IdentityKind.Patient, patientId),
            (IdentityKind.Practitioner, practitionerId),
            (IdentityKind.Clinic, clinicId),
        ];
        var seeds = await database.ReadAsync(store => FindAsync(store, clinicId, wanted, cancellationToken));
        if (seeds.Count < wanted.Length)
        {
            seeds = await database.WriteAsync(
                async store =>
                {
                    foreach (var (kind, localId) in wanted)
                    {
                        // The unique key decides between two writers; whoever comes second reads the other's seed.
                        await store.Database.ExecuteSqlAsync(
                            $"""
                            INSERT INTO identity_seed (clinic_id, kind, local_id, seed)
                            VALUES ({clinicId}, {kind.ToString()}, {localId}, {Guid.NewGuid()})
                            ON CONFLICT DO NOTHING
                            """,
                            cancellationToken);
                    }

                    return await FindAsync(store, clinicId, wanted, cancellationToken);
                },
                cancellationToken);
        }

        return new IdentitySeeds(
            seeds[IdentityKind.Encounter], seeds[IdentityKind.Patient], seeds[IdentityKind.Practitioner], seeds[IdentityKind.Clinic]);
    }

    /// <summary>Patients that share a verified NHS number and differ in birth date, newest first.</summary>
    public Task<IReadOnlyList<IdentityConflict>> ConflictsAsync(Reach reach, CancellationToken cancellationToken) =>
        database.ReadAsync<IReadOnlyList<IdentityConflict>>(async store => await store.IdentityConflicts
            .Within(reach)
            .OrderByDescending(row => row.FoundAt)
            .Select(row => new IdentityConflict(row.PatientKey, row.OtherPatientKey, row.NhsNumber, row.FoundAt))
            .ToListAsync(cancellationToken));

    /// <summary>
    /// Keeps what a clinic says about a patient's NHS number and lists clashes; part of the caller's transaction. A patient has
    /// one number: what the clinic says last replaces what it said before, and a clash over the former number is no clash any more.
    /// </summary>
    internal static async Task LinkAsync(
        StoreContext store,
        string clinicId,
        string? practiceOds,
        Guid patientKey,
        PatientLink link,
        DateTimeOffset now,
        CancellationToken cancellationToken)
    {
        // Two clinics that link one number at the same time must see each other, or the clash is missed.
        await store.LockAsync($"nhs-number {link.NhsNumber}", cancellationToken);
        await UnlinkAsync(store, patientKey, link.NhsNumber, cancellationToken);
        await store.Database.ExecuteSqlAsync(
            $"""
            INSERT INTO patient_link (patient_key, nhs_number, clinic_id, practice_ods, verified, birth_date, recorded_at)
            VALUES ({patientKey}, {link.NhsNumber}, {clinicId}, {practiceOds}, {link.Verified}, {link.BirthDate}, {now.ToUnixTimeMilliseconds()})
            ON CONFLICT (patient_key, nhs_number) DO UPDATE SET practice_ods = excluded.practice_ods,
                verified = excluded.verified, birth_date = excluded.birth_date, recorded_at = excluded.recorded_at
            """,
            cancellationToken);
        if (!link.Verified || link.BirthDate is null)
        {
            return;
        }

        var others = await store.PatientLinks.AsNoTracking()
            .Where(row => row.NhsNumber == link.NhsNumber && row.PatientKey != patientKey && row.Verified
                && row.BirthDate != null && row.BirthDate != link.BirthDate)
            .ToListAsync(cancellationToken);
        foreach (var other in others)
        {
            // Listed once for each side, so that both clinics find it within their own reach.
            await ListConflictAsync(store, link.NhsNumber, clinicId, practiceOds, patientKey, other.PatientKey, now, cancellationToken);
            await ListConflictAsync(
                store, link.NhsNumber, other.ClinicId, other.PracticeOds, other.PatientKey, patientKey, now, cancellationToken);
        }
    }

    /// <summary>Drops an untraced number that a correction no longer names; a traced one may rest on another encounter.</summary>
    internal static Task ForgetUntracedAsync(StoreContext store, Guid patientKey, CancellationToken cancellationToken) => store.PatientLinks
        .Where(row => row.PatientKey == patientKey && !row.Verified)
        .ExecuteDeleteAsync(cancellationToken);

    private static async Task UnlinkAsync(StoreContext store, Guid patientKey, string keptNumber, CancellationToken cancellationToken)
    {
        var former = await store.PatientLinks
            .Where(row => row.PatientKey == patientKey && row.NhsNumber != keptNumber)
            .Select(row => row.NhsNumber)
            .ToListAsync(cancellationToken);
        foreach (var number in former)
        {
            await store.PatientLinks
                .Where(row => row.PatientKey == patientKey && row.NhsNumber == number)
                .ExecuteDeleteAsync(cancellationToken);
            await store.IdentityConflicts
                .Where(row => row.NhsNumber == number && (row.PatientKey == patientKey || row.OtherPatientKey == patientKey))
                .ExecuteDeleteAsync(cancellationToken);
        }
    }

    private static Task<int> ListConflictAsync(
        StoreContext store,
        string nhsNumber,
        string clinicId,
        string? practiceOds,
        Guid patientKey,
        Guid otherKey,
        DateTimeOffset now,
        CancellationToken cancellationToken) =>
        store.Database.ExecuteSqlAsync(
            $"""
            INSERT INTO identity_conflict (patient_key, other_patient_key, nhs_number, clinic_id, practice_ods, found_at)
            VALUES ({patientKey}, {otherKey}, {nhsNumber}, {clinicId}, {practiceOds}, {now.ToUnixTimeMilliseconds()})
            ON CONFLICT DO NOTHING
            """,
            cancellationToken);

    private static Task<Dictionary<IdentityKind, Guid>> FindAsync(
        StoreContext store, string clinicId, (IdentityKind Kind, string LocalId)[] wanted, CancellationToken cancellationToken)
    {
        var localIds = wanted.ToDictionary(each => each.Kind, each => each.LocalId);
        var (encounter, patient, practitioner) =
            (localIds[IdentityKind.Encounter], localIds[IdentityKind.Patient], localIds[IdentityKind.Practitioner]);
        return store.IdentitySeeds.AsNoTracking()
            .Where(row => row.ClinicId == clinicId
                && ((row.Kind == IdentityKind.Encounter && row.LocalId == encounter)
                    || (row.Kind == IdentityKind.Patient && row.LocalId == patient)
                    || (row.Kind == IdentityKind.Practitioner && row.LocalId == practitioner)
                    || (row.Kind == IdentityKind.Clinic && row.LocalId == clinicId)))
            .ToDictionaryAsync(row => row.Kind, row => row.Seed, cancellationToken);
    }
}
