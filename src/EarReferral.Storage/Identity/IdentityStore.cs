using EarReferral.Storage.Audit;
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

    /// <summary>Patient records whose identity waits for a person, the longest first. An NHS number is never part of it.</summary>
    public Task<IReadOnlyList<IdentityConflict>> ConflictsAsync(Reach reach, CancellationToken cancellationToken) =>
        database.ReadAsync<IReadOnlyList<IdentityConflict>>(async store =>
        {
            var rows = await store.IdentityConflicts.Within(reach)
                .Select(row => new
                {
                    row.PatientKey,
                    Id = store.Resources.Where(patient => patient.Type == "Patient" && patient.PatientKey == row.PatientKey).Select(patient => patient.Id).FirstOrDefault(),
                    row.ClinicId,
                    row.Kind,
                    row.FoundAt,
                })
                .ToListAsync(cancellationToken);
            return
            [
                .. rows.GroupBy(row => (row.PatientKey, row.Id, row.ClinicId, row.Kind))
                    .Select(same => new IdentityConflict(same.Key.PatientKey, same.Key.Id, same.Key.ClinicId, same.Key.Kind, same.Min(row => row.FoundAt)))
                    .OrderBy(conflict => conflict.Since).ThenBy(conflict => conflict.PatientKey).ThenBy(conflict => conflict.Kind),
            ];
        });

    /// <summary>Keeps what a person decides about a patient record, with its audit row, and settles what follows from it.</summary>
    /// <param name="reach">Whose records may be decided about.</param>
    /// <param name="patientId">Id of the Patient resource.</param>
    /// <param name="statement">The decision.</param>
    /// <param name="cancellationToken">Stops the wait.</param>
    public Task<IdentityOutcome> DecideAsync(Reach reach, string patientId, IdentityStatement statement, CancellationToken cancellationToken) =>
        database.WriteAsync(
            async store =>
            {
                var outcome = await DecideAsync(store, reach, patientId, statement, cancellationToken);
                return (outcome, outcome == IdentityOutcome.Kept);
            },
            cancellationToken);

    private static async Task<IdentityOutcome> DecideAsync(
        StoreContext store, Reach reach, string patientId, IdentityStatement statement, CancellationToken cancellationToken)
    {
        var patient = await store.Resources.Where(row => row.Type == "Patient" && row.Id == patientId).Within(reach, store)
            .AsNoTracking()
            .SingleOrDefaultAsync(cancellationToken);
        if (patient?.PatientKey is not { } patientKey)
        {
            return IdentityOutcome.NotFound;
        }

        await store.LockAsync($"clinic {patient.ClinicId}", cancellationToken);
        var live = IdentityRule.Live(await store.PatientLinks.AsNoTracking().Where(row => row.PatientKey == patientKey).ToListAsync(cancellationToken));
        var hasNumber = statement.Linked
            ? live is [.., { NhsNumber: not null, Retracted: false }]
            : live.Any(row => row.NhsNumber is not null);
        if (!hasNumber)
        {
            return IdentityOutcome.NoNumber;
        }

        var numbers = await IdentityLinks.LockAsync(store, live.Select(row => row.NhsNumber), cancellationToken);
        if (statement.Linked && await OtherIsLinkedAsync(store, live[^1], cancellationToken))
        {
            return IdentityOutcome.OtherIsLinked;
        }

        await store.IdentityDecisions
            .Where(row => row.PatientKey == patientKey && row.Holds)
            .ExecuteUpdateAsync(set => set.SetProperty(row => row.Holds, false), cancellationToken);
        var decision = new IdentityDecisionRow
        {
            Id = Guid.CreateVersion7(statement.At),
            PatientKey = patientKey,
            Linked = statement.Linked,
            Person = statement.Person,
            Reason = statement.Reason,
            Facts = IdentityRule.Facts(live),
            DecidedAt = statement.At,
            Holds = true,
        };
        store.Add(decision);
        store.Add(AuditStore.Row(new AuditEntry(
            statement.At,
            AuditAction.Override,
            AuditResult.Success,
            statement.Actor,
            patient.ClinicId,
            patient.PracticeOds,
            patientKey,
            "Patient",
            patientId,
            statement.RequestId,
            $"identity {(statement.Linked ? "link" : "unlink")}: decision {decision.Id}")));
        await store.SaveChangesAsync(cancellationToken);
        await IdentityLinks.SettleAsync(store, patientKey, numbers, statement.At, cancellationToken);
        return IdentityOutcome.Kept;
    }

    /// <summary>One number is one person's: two records with different birth dates cannot both be confirmed.</summary>
    private static Task<bool> OtherIsLinkedAsync(StoreContext store, PatientLinkRow confirmed, CancellationToken cancellationToken) =>
        store.PatientLinks.AnyAsync(
            row => row.NhsNumber == confirmed.NhsNumber
                && row.Counts
                && row.PatientKey != confirmed.PatientKey
                && row.BirthDate != confirmed.BirthDate
                && store.IdentityDecisions.Any(decision => decision.PatientKey == row.PatientKey && decision.Holds && decision.Linked),
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
