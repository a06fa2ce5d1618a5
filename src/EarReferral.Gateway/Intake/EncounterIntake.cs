using System.Data.Common;
using System.Globalization;
using System.Text.Json;
using EarReferral.Delivery;
using EarReferral.Encounters;
using EarReferral.Encounters.Reading;
using EarReferral.Gateway.Configuration;
using EarReferral.Gateway.Health;
using EarReferral.Gateway.Quarantine;
using EarReferral.Storage;
using EarReferral.Storage.Audit;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Identity;
using EarReferral.Storage.Quarantine;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Refusals;
using Microsoft.EntityFrameworkCore;

namespace EarReferral.Gateway.Intake;

/// <summary>Takes an encounter in: read, judge, store in one transaction, wake the delivery.</summary>
internal sealed class EncounterIntake(
    DocumentReader reader,
    EncounterJudge judge,
    HistoryReader histories,
    RevisionMaker revisions,
    LaterVisitTies ties,
    ReceiptWriter receipts,
    Readiness readiness,
    ClinicDirectory clinics,
    IdentityStore identities,
    EncounterStore encounters,
    ReferralStore referrals,
    RefusalStore refusals,
    DeliverySignal delivery,
    TimeProvider clock,
    ILogger<EncounterIntake> logger)
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(5);
    private static readonly Reach Before = new Reach.Everything("revision that a correction follows");

    /// <summary>Takes the first revision of an encounter, or a repeat of any.</summary>
    public Task<IntakeOutcome> AcceptAsync(byte[] document, string requestId, CancellationToken stop) => TakeAsync(document, current: null, requestId, stop);

    /// <summary>Takes the next revision of a stored encounter.</summary>
    public Task<IntakeOutcome> CorrectAsync(StoredEncounter current, byte[] document, string requestId, CancellationToken stop) => TakeAsync(document, current, requestId, stop);

    /// <summary>Takes a clinician's decision about a stored encounter as its next revision, where it holds everything that it needs.</summary>
    public async Task<IntakeOutcome> DecideAsync(StoredEncounter current, ClinicianDecision decision, string requestId, CancellationToken stop)
    {
        var document = decision.WriteInto(current.Raw.Span, current.Revision);
        var reading = reader.Read(document);
        if (reading.Encounter is not { } encounter)
        {
            return new IntakeOutcome.Refused(reading.Problems, null);
        }

        var rules = judge.Decide(encounter, await histories.ReadAsync(encounter, stop));
        var problems = DecisionRules.Problems(decision, encounter, rules, clock.GetUtcNow()).ToList();
        return problems.Count > 0
            ? new IntakeOutcome.Refused(problems, null)
            : await TakeAsync(document, current, requestId, stop, string.Create(CultureInfo.InvariantCulture, $"clinician's decision, revision {current.Revision + 1}"));
    }

    /// <summary>Everything but store and send.</summary>
    public async Task<(Receipt? Receipt, IntakeOutcome? Outcome)> PreviewAsync(byte[] document, CancellationToken stop)
    {
        if (!await readiness.IsWarmWithinAsync(Patience, stop))
        {
            return (null, new IntakeOutcome.NotReady("The validator is still warming up."));
        }

        var reading = reader.Read(document);
        return reading.Encounter switch
        {
            null => (null, new IntakeOutcome.Refused(reading.Problems, Provisional(reading.Document, reading.Problems))),
            { } encounter when !IsOwn(encounter) => (null, new IntakeOutcome.UnknownClinic(Decision(encounter))),
            { } encounter => await PreviewAsync(encounter, stop),
        };
    }

    /// <summary>Everything that can be said of a document for somebody who builds software: as the preview, with what was made on the way.</summary>
    public async Task<IntakeTrial> TryAsync(byte[] document, CancellationToken stop)
    {
        if (!await readiness.IsWarmWithinAsync(Patience, stop))
        {
            return new IntakeTrial([], null, null, null, "The validator is still warming up. Try again in a few seconds.");
        }

        var reading = reader.Read(document);
        if (reading.Encounter is not { } encounter)
        {
            return new IntakeTrial(reading.Problems, Provisional(reading.Document, reading.Problems), null, null, null);
        }

        if (!IsOwn(encounter))
        {
            return new IntakeTrial([IntakeProblems.UnknownClinic.At("/clinic/id")], Decision(encounter), null, null, null);
        }

        try
        {
            var judgement = judge.Try(encounter, await histories.ReadAsync(encounter, stop));
            var receipt = ReceiptWriter.Preview(judgement, clock.GetUtcNow());
            return new IntakeTrial([], receipt.Decision, judgement, receipt, null);
        }
        catch (Exception refused) when (refused is DbException or TimeoutException)
        {
            Log.StoreRefused(logger, refused.GetBaseException().GetType().Name);
            return new IntakeTrial([], null, null, null, "The store cannot be read, so what is known of earlier visits is missing.");
        }
    }

    private async Task<(Receipt? Receipt, IntakeOutcome? Outcome)> PreviewAsync(ClinicEncounter encounter, CancellationToken stop)
    {
        try
        {
            return (ReceiptWriter.Preview(judge.Preview(encounter, await histories.ReadAsync(encounter, stop)), clock.GetUtcNow()), null);
        }
        catch (Exception refused) when (refused is DbException or TimeoutException)
        {
            Log.StoreRefused(logger, refused.GetBaseException().GetType().Name);
            return (null, new IntakeOutcome.NotReady("The store cannot be read, so what is known of earlier visits is missing."));
        }
    }

    /// <summary>What the readable part of a document says, for an answer that does not take it.</summary>
    public ReceiptDecision? Provisional(byte[] document)
    {
        var reading = reader.Read(document);
        return reading.Encounter is { } encounter ? Decision(encounter) : Provisional(reading.Document, reading.Problems);
    }

    private async Task<IntakeOutcome> TakeAsync(byte[] document, StoredEncounter? current, string requestId, CancellationToken stop, string? decided = null)
    {
        if (!await readiness.IsWarmWithinAsync(Patience, stop))
        {
            return new IntakeOutcome.NotReady("The validator is still warming up.");
        }

        var receivedAt = clock.GetUtcNow();
        var reading = reader.Read(document);
        try
        {
            if (current is null && reading.Encounter is { Revision: > 1 } later)
            {
                current = await encounters.FindRevisionAsync(Before, later.Clinic.Id, later.EncounterId, later.Revision - 1, stop);
            }

            if (current is { IsRetracted: true })
            {
                var shown = Provisional(document);
                await NoteRefusalAsync(document, ["intake.retracted"], shown, receivedAt, stop);
                return new IntakeOutcome.Retracted(shown);
            }

            IReadOnlyList<EncounterProblem> problems = [.. reading.Problems, .. IntakeRules.Problems(reading.Encounter, current, receivedAt)];
            if (problems.Count > 0)
            {
                var provisional = Provisional(reading.Document, problems);
                await NoteRefusalAsync(document, [.. problems.Select(problem => problem.Id)], provisional, receivedAt, stop);
                return new IntakeOutcome.Refused(problems, provisional);
            }

            var encounter = reading.Encounter!;
            if (!IsOwn(encounter))
            {
                var decision = Decision(encounter);
                await NoteRefusalAsync(document, [IntakeProblems.UnknownClinic.Id], decision, receivedAt, stop);
                return new IntakeOutcome.UnknownClinic(decision);
            }

            return await StoreAsync(encounter, document, receivedAt, requestId, decided, stop);
        }
        catch (Exception refused) when (refused is DbException or DbUpdateException or TimeoutException)
        {
            Log.StoreRefused(logger, refused.GetBaseException().GetType().Name);
            return reading.Problems.Count > 0
                ? new IntakeOutcome.Refused(reading.Problems, Provisional(reading.Document, reading.Problems))
                : new IntakeOutcome.NotReady("The store cannot be written.");
        }
    }

    private async Task<IntakeOutcome> StoreAsync(ClinicEncounter encounter, byte[] document, DateTimeOffset receivedAt, string requestId, string? decided, CancellationToken stop)
    {
        var seeds = await identities.ResolveAsync(encounter.Clinic.Id, encounter.EncounterId, encounter.Patient.Id, encounter.Practitioner.Id, stop);
        for (var turn = 1; ; turn++)
        {
            // An open referral may be ended between the look and the transaction; then the visit is judged anew, at last without any.
            if (await StoreAsync(encounter, document, seeds, receivedAt, requestId, decided, looksAtOpen: turn < 4, stop) is { } answer)
            {
                return answer;
            }
        }
    }

    private async Task<IntakeOutcome?> StoreAsync(
        ClinicEncounter encounter, byte[] document, IdentitySeeds seeds, DateTimeOffset receivedAt, string requestId, string? decided, bool looksAtOpen, CancellationToken stop)
    {
        var withdraws = encounter.Revision > 1 && await referrals.ExistsForAsync(Before, seeds.Encounter, stop);
        var known = await histories.ReadAsync(encounter, stop);
        var open = looksAtOpen && !known.IsWithheld ? await referrals.OpenForAsync(encounter.Clinic.Id, seeds.Patient, seeds.Encounter, stop) : [];
        var judgement = judge.Judge(encounter, RevisionMaker.Identity(seeds), known, withdraws, open: open);
        var late = ReceiptWriter.IsLate(judgement, receivedAt);
        var revision = revisions.Make(judgement, document, seeds, receivedAt, late, receipts.Write(judgement, seeds.Encounter, late), AuditAction.Create, requestId, decided) with
        {
            LaterVisit = await ties.OfAsync(judgement, seeds, open, receivedAt, stop),
            ReceiptAbout = encounter.Revision == 1 ? null : earlier => receipts.Write(judgement, seeds.Encounter, late, earlier),
            FailedCheck = judgement.State == ReceiptState.Quarantined
                ? new RecordCheck(receivedAt, Person: null, Reason: null, Passed: false, SoftwareVersion.Text, QuarantineIssue.Bytes(judgement.Report))
                : null,
        };
        var outcome = await encounters.SaveAsync(revision, stop);
        if (outcome is SaveOutcome.OpenReferralChanged)
        {
            return null;
        }

        var answer = Answered(outcome, judgement, encounter.Revision, late);
        if (answer is IntakeOutcome.ContentDiffers or IntakeOutcome.RevisionGap or IntakeOutcome.RevisionBehind or IntakeOutcome.Retracted)
        {
            await NoteRefusalAsync(document, [$"intake.{JsonNamingPolicy.KebabCaseLower.ConvertName(answer.GetType().Name)}"], ReceiptWriter.Decision(judgement.Encounter, judgement.Decision), receivedAt, stop);
        }

        return answer;
    }

    private IntakeOutcome Answered(SaveOutcome outcome, Judgement judgement, int revision, bool late)
    {
        switch (outcome)
        {
            case SaveOutcome.Saved saved:
                Log.EncounterStored(logger, saved.EncounterKey, revision, judgement.State.ToString(), judgement.Urgency.Tier.ToString());
                if (judgement.State == ReceiptState.Quarantined)
                {
                    Log.EncounterQuarantined(logger, saved.EncounterKey, string.Join(' ', judgement.Report.Issues.Select(issue => issue.RuleId).Distinct()), judgement.Urgency.Tier.ToString());
                }

                if (late)
                {
                    Log.EncounterLate(logger, saved.EncounterKey, judgement.Urgency.Tier.ToString());
                }

                if (saved.Referral is ReferralPlacement.AlreadyTried or ReferralPlacement.WithdrawnAfterSending or ReferralPlacement.WithdrawalQueued or ReferralPlacement.StoppedByQuarantine)
                {
                    Log.ReceiverMustBeTold(logger, saved.EncounterKey, saved.Referral.ToString());
                }

                delivery.Ring();
                return new IntakeOutcome.Stored(saved.EncounterKey, revision, saved.Receipt.ToArray());
            case SaveOutcome.AlreadyStored before:
                return new IntakeOutcome.StoredBefore(before.EncounterKey, revision, before.Receipt.ToArray());
            case SaveOutcome.ContentDiffers:
                return new IntakeOutcome.ContentDiffers(ReceiptWriter.Decision(judgement.Encounter, judgement.Decision));
            case SaveOutcome.RevisionGap gap:
                return new IntakeOutcome.RevisionGap(gap.Expected, ReceiptWriter.Decision(judgement.Encounter, judgement.Decision));
            case SaveOutcome.RevisionBehind behind:
                return new IntakeOutcome.RevisionBehind(behind.Current, ReceiptWriter.Decision(judgement.Encounter, judgement.Decision));
            case SaveOutcome.Retracted:
                return new IntakeOutcome.Retracted(ReceiptWriter.Decision(judgement.Encounter, judgement.Decision));
            default:
                throw new InvalidOperationException($"{outcome.GetType().Name} is not an outcome of saving.");
        }
    }

    private async Task NoteRefusalAsync(byte[] document, IReadOnlyList<string> problemIds, ReceiptDecision? provisional, DateTimeOffset receivedAt, CancellationToken stop)
    {
        var (clinic, encounterId) = IntakeRules.WhoAndWhich(document);
        IReadOnlyList<string> ids = [.. problemIds.Distinct().Order(StringComparer.Ordinal)];
        Log.EncounterRefused(logger, string.Join(' ', ids), provisional?.Tier ?? "unknown");
        await refusals.AppendAsync(new Refusal(clinic ?? "", Callers.Actor, encounterId, receivedAt, ids, provisional?.Tier), stop);
    }

    /// <summary>A clinic that is not the caller's own is answered like one that is not configured.</summary>
    private bool IsOwn(ClinicEncounter encounter) => Callers.MayPostFor(encounter.Clinic.Id) && clinics.Find(encounter.Clinic.Id) is not null;

    private ReceiptDecision Decision(ClinicEncounter encounter) => ReceiptWriter.Decision(encounter, judge.Decide(encounter, KnownHistory.None));

    private ReceiptDecision? Provisional(ReadOnlyMemory<byte> document, IReadOnlyList<EncounterProblem> problems) =>
        ReadableFacts.From(document, problems, clock.GetUtcNow()) is { } readable ? Decision(readable) : null;
}
