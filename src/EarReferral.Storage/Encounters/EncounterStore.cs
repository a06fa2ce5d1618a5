using EarReferral.Storage.Audit;
using EarReferral.Storage.Identity;
using EarReferral.Storage.Quarantine;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Resources;
using EarReferral.Storage.Schema;
using EarReferral.Storage.Schema.Rows;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Storage.Encounters;

/// <summary>Received encounters, each revision exactly once.</summary>
public sealed class EncounterStore
{
    private readonly StoreDatabase database;

    internal EncounterStore(StoreDatabase database) => this.database = database;

    /// <summary>Stores the revision with everything that follows from it in one transaction, or says why not.</summary>
    public Task<SaveOutcome> SaveAsync(EncounterRevision revision, CancellationToken cancellationToken) =>
        database.WriteAsync(store => SaveAsync(store, revision, cancellationToken), cancellationToken);

    /// <summary>The newest revision of an encounter.</summary>
    public Task<StoredEncounter?> FindAsync(Reach reach, Guid encounterKey, CancellationToken cancellationToken) =>
        database.ReadAsync(async store =>
        {
            var row = await Newest(store, reach).SingleOrDefaultAsync(each => each.EncounterKey == encounterKey, cancellationToken);
            return row is null ? null : Read(row);
        });

    /// <summary>One revision of an encounter by the clinic's own number, such as before a repeat is worked through again.</summary>
    public Task<StoredEncounter?> FindRevisionAsync(
        Reach reach, string clinicId, string clinicEncounterId, int revision, CancellationToken cancellationToken) =>
        database.ReadAsync(async store =>
        {
            var row = await store.Encounters.Within(reach).SingleOrDefaultAsync(
                each => each.ClinicId == clinicId && each.ClinicEncounterId == clinicEncounterId && each.Revision == revision,
                cancellationToken);
            return row is null ? null : Read(row);
        });

    /// <summary>Every revision of an encounter that is within reach, oldest first, a retraction among them.</summary>
    public Task<IReadOnlyList<StoredEncounter>> RevisionsAsync(Reach reach, Guid encounterKey, CancellationToken cancellationToken) =>
        database.ReadAsync<IReadOnlyList<StoredEncounter>>(async store =>
        {
            var rows = await store.Encounters.Within(reach).Where(row => row.EncounterKey == encounterKey).OrderBy(row => row.Revision).ToListAsync(cancellationToken);
            return [.. rows.Select(Read)];
        });

    /// <summary>The newest revision of each encounter, in the order they were stored.</summary>
    public Task<Page<StoredEncounter>> ListAsync(Reach reach, string? cursor, int count, CancellationToken cancellationToken) =>
        database.ReadAsync(async store =>
        {
            var after = Cursor.Read(cursor)?.Position ?? 0;
            var rows = await Newest(store, reach)
                .Where(row => row.Id > after)
                .OrderBy(row => row.Id)
                .Take(count + 1)
                .ToListAsync(cancellationToken);
            return Cursor.Page(rows, count, Read, row => new Cursor(row.Id, string.Empty));
        });

    /// <summary>The newest revision of each encounter that was decided in a span, in the order of the decision.</summary>
    /// <param name="reach">Whose.</param>
    /// <param name="from">First instant.</param>
    /// <param name="until">First instant after the span.</param>
    /// <param name="cancellationToken">Stops the wait.</param>
    public Task<IReadOnlyList<StoredEncounter>> DecidedAsync(Reach reach, DateTimeOffset from, DateTimeOffset until, CancellationToken cancellationToken) =>
        database.ReadAsync<IReadOnlyList<StoredEncounter>>(async store =>
        {
            var rows = await Newest(store, reach).Where(row => row.EvaluatedAt >= from && row.EvaluatedAt < until).OrderBy(row => row.EvaluatedAt).ThenBy(row => row.Id).ToListAsync(cancellationToken);
            return [.. rows.Select(Read)];
        });

    /// <summary>How many encounters there are.</summary>
    public Task<int> CountAsync(Reach reach, CancellationToken cancellationToken) =>
        database.ReadAsync(store => store.Encounters.Within(reach).Select(row => row.EncounterKey).Distinct().CountAsync(cancellationToken));

    /// <summary>The newest revision decides whose the encounter is: an earlier one of another practice is not shown instead.</summary>
    internal static IQueryable<EncounterRow> Newest(StoreContext store, Reach reach) => store.Encounters.Within(reach)
        .Where(row => !store.Encounters.Any(later => later.EncounterKey == row.EncounterKey && later.Revision > row.Revision));

    private static async Task<(SaveOutcome Outcome, bool Keep)> SaveAsync(
        StoreContext store, EncounterRevision revision, CancellationToken cancellationToken)
    {
        await store.LockAsync($"clinic {revision.ClinicId}", cancellationToken);
        if (await InsertAsync(store, revision, cancellationToken) == 0)
        {
            return (await CompareAsync(store, revision, cancellationToken), false);
        }

        var newestBefore = await Revisions(store, revision)
            .Where(row => row.Revision != revision.Revision)
            .OrderByDescending(row => row.Revision)
            .Select(row => new { row.Revision, row.State })
            .FirstOrDefaultAsync(cancellationToken);
        if (newestBefore?.State == StoredEncounter.Retracted)
        {
            return (new SaveOutcome.Retracted(), false);
        }

        if ((newestBefore?.Revision ?? 0) != revision.Revision - 1)
        {
            return (new SaveOutcome.RevisionGap((newestBefore?.Revision ?? 0) + 1), false);
        }

        if (!await LaterVisits.TieAsync(store, revision, cancellationToken))
        {
            return (new SaveOutcome.OpenReferralChanged(), false);
        }

        if (revision.FailedCheck is { } check)
        {
            store.Add(QuarantineStore.Row(revision.EncounterKey, revision.Revision, revision.ClinicId, revision.PracticeOds, check, null));
        }

        var (placement, receipt) = await PutRecordAsync(store, revision, cancellationToken);
        return (new SaveOutcome.Saved(revision.EncounterKey, placement, receipt), true);
    }

    /// <summary>Stores what follows from a revision whose row is written: who the patient is, referral, resources, audit, receipt.</summary>
    internal static async Task<(ReferralPlacement Placement, ReadOnlyMemory<byte> Receipt)> PutRecordAsync(
        StoreContext store, EncounterRevision revision, CancellationToken cancellationToken)
    {
        var before = await HistoryReviews.BeforeAsync(store, revision, cancellationToken);
        await LinkAsync(store, revision, cancellationToken);
        await HistoryReviews.NoteAsync(store, revision, before, cancellationToken);
        var (placement, taskIdentifier) = await ReferralWriter.PlaceAsync(store, revision, cancellationToken);
        await PutResourcesAsync(store, revision, placement, taskIdentifier, cancellationToken);
        store.AddRange(revision.Audit.Select(AuditStore.Row));
        return (placement, await ReceiptAsync(store, revision, placement, cancellationToken));
    }

    private static async Task<ReadOnlyMemory<byte>> ReceiptAsync(
        StoreContext store, EncounterRevision revision, ReferralPlacement placement, CancellationToken cancellationToken)
    {
        if (revision.ReceiptAbout is not { } write)
        {
            return revision.Receipt;
        }

        var receipt = write(await EarlierContentReader.ReadAsync(store, revision, placement, cancellationToken)).ToArray();
        await Revisions(store, revision)
            .Where(row => row.Revision == revision.Revision)
            .ExecuteUpdateAsync(set => set.SetProperty(row => row.Receipt, receipt), cancellationToken);
        return receipt;
    }

    /// <summary>A revision that could not be made a record changes nothing that is served, so it says nothing about the patient either.</summary>
    private static Task LinkAsync(StoreContext store, EncounterRevision revision, CancellationToken cancellationToken) => revision switch
    {
        { Retraction: not null } => IdentityLinks.RetractAsync(store, revision, cancellationToken),
        { HasRecord: true, NhsNumber: { } link } => IdentityLinks.KeepAsync(store, revision, link, cancellationToken),
        _ => Task.CompletedTask,
    };

    private static async Task PutResourcesAsync(
        StoreContext store, EncounterRevision revision, ReferralPlacement placement, string? taskIdentifier, CancellationToken cancellationToken)
    {
        var owner = new ResourceOwner(revision.ClinicId, revision.PracticeOds, revision.PatientKey, revision.EncounterKey);
        var patientOwner = owner with { PracticeOds = await VisitReach.OfPatientAsync(store, revision, cancellationToken) };
        var isKeptBack = await VisitReach.IsKeptBackAsync(store, revision, cancellationToken);
        var stored = await ResourceWriter.LoadAsync(store, revision.Resources, cancellationToken);
        foreach (var resource in revision.Resources)
        {
            var isOfReferral = revision.Referral is { } referral
                && ((resource.TypeName == "ServiceRequest" && resource.Id == referral.ReferralId)
                    || (resource.TypeName == "Task" && resource.Id == referral.TaskId));

            // Once tried, the Task is shared with the receiver: a correction must not put its status back to "requested".
            if (isOfReferral && resource.TypeName == "Task" && placement is (ReferralPlacement.AlreadyTried or ReferralPlacement.UpdateQueued))
            {
                continue;
            }

            var written = isOfReferral && taskIdentifier is not null && resource is Hl7.Fhir.Model.Task task
                ? await ReplacedTask.NamedAsync(store, task, taskIdentifier, cancellationToken)
                : resource;
            var addressedTo = isOfReferral && !isKeptBack ? revision.Referral!.Destination : null;
            await ResourceWriter.PutAsync(store, stored, written, resource is Hl7.Fhir.Model.Patient ? patientOwner : owner, addressedTo, revision.ReceivedAt, cancellationToken);
        }

        if (revision is { HasRecord: true, Revision: > 1 })
        {
            await Retirement.RetireAsync(store, revision, owner, cancellationToken);
        }

        if (revision.Revision > 1)
        {
            await VisitReach.MoveAsync(store, revision, patientOwner.PracticeOds, isKeptBack, cancellationToken);
        }
    }

    private static Task<int> InsertAsync(StoreContext store, EncounterRevision revision, CancellationToken cancellationToken) =>
        store.Database.ExecuteSqlAsync(
            $"""
            INSERT INTO encounter_revision (encounter_key, clinic_id, clinic_encounter_id, revision, contract_version, time_zone,
                patient_key, practice_ods, content_sha256, raw, received_at, evaluated_at, state, tier, late, receipt, decision)
            VALUES ({revision.EncounterKey}, {revision.ClinicId}, {revision.ClinicEncounterId}, {revision.Revision},
                {revision.ContractVersion}, {revision.TimeZone}, {revision.PatientKey}, {revision.PracticeOds},
                {revision.ContentSha256}, {revision.Raw.ToArray()}, {revision.ReceivedAt.ToUnixTimeMilliseconds()},
                {revision.EvaluatedAt.ToUnixTimeMilliseconds()}, {revision.State}, {revision.Tier}, {revision.Late},
                {revision.Receipt.ToArray()}, {revision.Decision.ToArray()})
            ON CONFLICT (clinic_id, clinic_encounter_id, revision) DO NOTHING
            """,
            cancellationToken);

    private static async Task<SaveOutcome> CompareAsync(StoreContext store, EncounterRevision revision, CancellationToken cancellationToken)
    {
        var stored = await Revisions(store, revision)
            .Where(row => row.Revision == revision.Revision)
            .Select(row => new { row.EncounterKey, row.ContentSha256, row.Receipt, row.ReceivedAt })
            .SingleAsync(cancellationToken);
        if (stored.ContentSha256 == revision.ContentSha256)
        {
            return new SaveOutcome.AlreadyStored(stored.Receipt, stored.EncounterKey);
        }

        var newest = await Revisions(store, revision)
            .OrderByDescending(row => row.Revision)
            .Select(row => new { row.Revision, row.State })
            .FirstAsync(cancellationToken);
        if (newest.State == StoredEncounter.Retracted)
        {
            return new SaveOutcome.Retracted();
        }

        return newest.Revision > revision.Revision
            ? new SaveOutcome.RevisionBehind(newest.Revision)
            : new SaveOutcome.ContentDiffers(stored.EncounterKey, stored.ContentSha256, stored.ReceivedAt);
    }

    private static IQueryable<EncounterRow> Revisions(StoreContext store, EncounterRevision revision) =>
        store.Encounters.Where(row => row.ClinicId == revision.ClinicId && row.ClinicEncounterId == revision.ClinicEncounterId);

    internal static StoredEncounter Read(EncounterRow row) => new(
        row.EncounterKey,
        row.ClinicId,
        row.ClinicEncounterId,
        row.Revision,
        row.ContractVersion,
        row.TimeZone,
        row.PatientKey,
        row.PracticeOds,
        row.ContentSha256,
        row.Raw,
        row.ReceivedAt,
        row.EvaluatedAt,
        row.State,
        row.Tier,
        row.Late,
        row.Receipt,
        row.Decision);
}
