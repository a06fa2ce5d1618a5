using System.Data.Common;
using System.Security.Cryptography;
using EarReferral.Delivery;
using EarReferral.Gateway.Configuration;
using EarReferral.Storage.Audit;
using EarReferral.Storage.Encounters;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Intake;

/// <summary>Takes an encounter back: its last revision, which marks everything before it as entered in error.</summary>
internal sealed class EncounterRetraction(
    EncounterStore encounters,
    IOptions<GatewayOptions> gateway,
    IOptions<DeliveryOptions> delivery,
    TimeProvider clock,
    ILogger<EncounterRetraction> logger)
{
    /// <summary>Hash by which a repeated retraction is known.</summary>
    public static string Hash(Retraction retraction) => Convert.ToHexStringLower(SHA256.HashData(retraction.Bytes()));

    /// <summary>Retracts the newest revision.</summary>
    public async Task<IntakeOutcome> RetractAsync(StoredEncounter current, Retraction retraction, string requestId, CancellationToken stop)
    {
        var now = clock.GetUtcNow();
        var revision = new EncounterRevision(
            current.EncounterKey,
            current.ClinicId,
            current.ClinicEncounterId,
            current.Revision + 1,
            current.ContractVersion,
            current.TimeZone,
            current.PatientKey,
            current.PracticeOds,
            Hash(retraction),
            retraction.Bytes(),
            now,
            current.EvaluatedAt,
            StoredEncounter.Retracted,
            current.Tier,
            Late: false,
            ReadOnlyMemory<byte>.Empty,
            current.Decision,
            NhsNumber: null,
            Resources: [],
            Referral: null,
            [new AuditEntry(now, AuditAction.Override, AuditResult.Success, Callers.Actor, current.ClinicId, current.PracticeOds, current.PatientKey, "Encounter", current.EncounterKey.ToString(), requestId, $"retraction: {retraction.Reason}")])
        {
            Retraction = RetractionProvenance.Make(current, retraction, Hash(retraction), now),
            CorrectionOf = (earlier, way) => Corrections.Withdrawal(current.EncounterKey, current.Revision + 1, earlier, inError: true, way, now),
            ReceiptAbout = earlier => ReceiptWriter.Bytes(Receipt(current, retraction, now, earlier)),
        };
        try
        {
            return Answered(await encounters.SaveAsync(revision, stop), revision);
        }
        catch (Exception refused) when (refused is DbException or DbUpdateException or TimeoutException)
        {
            Log.StoreRefused(logger, refused.GetBaseException().GetType().Name);
            return new IntakeOutcome.NotReady("The store cannot be written.");
        }
    }

    private IntakeOutcome Answered(SaveOutcome outcome, EncounterRevision revision)
    {
        switch (outcome)
        {
            case SaveOutcome.Saved saved:
                Log.EncounterRetracted(logger, saved.EncounterKey, revision.Revision, saved.Referral.ToString());
                if (saved.Referral is ReferralPlacement.WithdrawnAfterSending or ReferralPlacement.WithdrawalQueued)
                {
                    Log.ReceiverMustBeTold(logger, saved.EncounterKey, saved.Referral.ToString());
                }

                return new IntakeOutcome.Stored(saved.EncounterKey, revision.Revision, saved.Receipt.ToArray());
            case SaveOutcome.AlreadyStored before:
                return new IntakeOutcome.StoredBefore(before.EncounterKey, revision.Revision, before.Receipt.ToArray());
            case SaveOutcome.Retracted:
                return new IntakeOutcome.Retracted(null);
            case SaveOutcome.ContentDiffers or SaveOutcome.RevisionBehind or SaveOutcome.RevisionGap:
                // Somebody corrected it between the read and the write.
                return new IntakeOutcome.ChangedMeanwhile();
            default:
                throw new InvalidOperationException($"{outcome.GetType().Name} is not an outcome of saving.");
        }
    }

    private RetractionReceipt Receipt(StoredEncounter current, Retraction retraction, DateTimeOffset now, EarlierContent earlier) => new()
    {
        Encounter = new Uri(gateway.Value.PublicBaseUrl, $"encounters/{current.EncounterKey}"),
        EncounterId = current.ClinicEncounterId,
        Revision = current.Revision + 1,
        Reason = retraction.Reason!,
        Person = retraction.Person!,
        RetractedAt = now,
        PhoneNow = earlier.Placement is ReferralPlacement.WithdrawnAfterSending or ReferralPlacement.WithdrawalQueued,
        ReceivedBefore = CorrectionReceivers.List(earlier, delivery.Value),
        CorrectionReached = CorrectionReceivers.Reached(earlier),
    };
}
