using System.Data.Common;
using EarReferral.Delivery;
using EarReferral.Gateway.Configuration;
using EarReferral.Gateway.Health;
using EarReferral.Gateway.Intake;
using EarReferral.Storage;
using EarReferral.Storage.Audit;
using EarReferral.Storage.Identity;
using EarReferral.Storage.Quarantine;
using EarReferral.Triage.Decisions;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Gateway.Quarantine;

/// <summary>
/// Maps, decides and validates a quarantined encounter again with the program of today. When nothing stands against it any
/// more it becomes what it would have been at the intake: a record, served, its referral queued once.
/// </summary>
internal sealed class RecordRevalidation(
    DocumentReader reader,
    EncounterJudge judge,
    HistoryReader histories,
    RevisionMaker revisions,
    ReceiptWriter receipts,
    Readiness readiness,
    ClinicDirectory clinics,
    IdentityStore identities,
    QuarantineStore quarantine,
    DeliverySignal delivery,
    TimeProvider clock,
    ILogger<RecordRevalidation> logger)
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(5);

    /// <summary>Looks again. Asking for what was released before changes nothing.</summary>
    public async Task<RevalidationOutcome> LookAsync(Reach reach, Guid key, Revalidation asked, string requestId, CancellationToken stop)
    {
        if (await quarantine.FindAsync(reach, key, stop) is not { } record)
        {
            return new RevalidationOutcome.NotFound();
        }

        if (!record.IsQuarantined)
        {
            return record.IsReleased ? new RevalidationOutcome.Looked() : new RevalidationOutcome.Overtaken();
        }

        if (!await readiness.IsWarmWithinAsync(Patience, stop))
        {
            return new RevalidationOutcome.NotReady("The validator is still warming up.");
        }

        try
        {
            return await LookAsync(record, asked, requestId, stop);
        }
        catch (Exception refused) when (refused is DbException or DbUpdateException or TimeoutException)
        {
            Log.StoreRefused(logger, refused.GetBaseException().GetType().Name);
            return new RevalidationOutcome.NotReady("The store cannot be written.");
        }
    }

    private async Task<RevalidationOutcome> LookAsync(QuarantinedRecord record, Revalidation asked, string requestId, CancellationToken stop)
    {
        var (kept, now) = (record.Encounter, clock.GetUtcNow());
        var document = kept.Raw.ToArray();
        var reading = reader.Read(document);
        if (reading.Encounter is not { } encounter)
        {
            return new RevalidationOutcome.NoLongerTaken(reading.Problems);
        }

        if (clinics.Find(encounter.Clinic.Id) is null)
        {
            return new RevalidationOutcome.UnknownClinic();
        }

        var seeds = await identities.ResolveAsync(encounter.Clinic.Id, encounter.EncounterId, encounter.Patient.Id, encounter.Practitioner.Id, stop);
        var judgement = judge.Judge(encounter, RevisionMaker.Identity(seeds), await histories.ReadAsync(encounter, stop));
        var check = new RecordCheck(now, asked.Person, asked.Reason, judgement.Report.IsValid, SoftwareVersion.Text, QuarantineIssue.Bytes(judgement.Report));
        if (!judgement.Report.IsValid)
        {
            var looked = new AuditEntry(
                now, AuditAction.Release, AuditResult.MinorFailure, Callers.Actor, kept.ClinicId, kept.PracticeOds, kept.PatientKey, "Encounter", judgement.Record.Encounter.Id, requestId, $"quarantine: still not valid, asked by {asked.Person}");
            if (await quarantine.KeepAsync(kept, check, looked, stop))
            {
                Log.QuarantineLookedAt(logger, kept.EncounterKey, string.Join(' ', QuarantineIssue.Rules(check)));
            }

            return new RevalidationOutcome.Looked();
        }

        var tier = judgement.Urgency.Tier.ToString();
        if (judgement.Urgency.Tier < Enum.Parse<Tier>(kept.Tier) && asked.AcceptTier != tier)
        {
            return new RevalidationOutcome.LessUrgentNow(kept.Tier, tier);
        }

        return await ReleaseAsync(judgement, document, seeds, kept.Late, check, requestId, stop);
    }

    private async Task<RevalidationOutcome> ReleaseAsync(
        Judgement judgement, byte[] document, IdentitySeeds seeds, bool late, RecordCheck check, string requestId, CancellationToken stop)
    {
        var released = new ReceiptRelease(check.At, check.Person!);
        var revision = revisions.Make(judgement, document, seeds, check.At, late, receipts.Write(judgement, seeds.Encounter, late, released: released), AuditAction.Release, requestId) with
        {
            ReceiptAbout = judgement.Encounter.Revision == 1 ? null : earlier => receipts.Write(judgement, seeds.Encounter, late, earlier, released),
        };
        revision = revision with { Audit = [.. revision.Audit.Select(entry => entry with { Purpose = $"quarantine: released by {check.Person}" })] };
        if (await quarantine.ReleaseAsync(revision, check, stop) is ReleaseOutcome.Released done)
        {
            Log.QuarantineReleased(logger, seeds.Encounter, judgement.Urgency.Tier.ToString(), done.Referral.ToString());
            delivery.Ring();
        }

        return new RevalidationOutcome.Looked();
    }
}
