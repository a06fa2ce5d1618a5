using System.Globalization;
using EarReferral.Delivery;
using EarReferral.Gateway.Intake;
using EarReferral.Mapping.Identity;
using EarReferral.Storage;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Identity;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Sending;
using Hl7.Fhir.Model;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Referrals;

/// <summary>Makes the request anew for another receiver, from the visit as it stands.</summary>
internal sealed class Redirection(
    DocumentReader reader, EncounterJudge judge, RevisionMaker revisions, HistoryReader histories, IdentityStore identities, EncounterStore encounters, ReferralStore referrals, SendControl control, IOptions<DeliveryOptions> delivery)
{
    private static readonly string[] NamesTheReceiver = ["ServiceRequest", "Task", "Organization", "Composition"];

    /// <summary>Sends it elsewhere. Where nothing can be made of the visit any more it is the wrong state, not a fault.</summary>
    public async System.Threading.Tasks.Task<OperatorOutcome> RedirectAsync(Reach reach, string referralId, string destination, OperatorAct act, CancellationToken stop)
    {
        if (await referrals.FindAsync(reach, referralId, stop) is not { } referral || await encounters.FindAsync(reach, referral.EncounterKey, stop) is not { } kept)
        {
            return OperatorOutcome.NotFound;
        }

        if (delivery.Value.Destinations.GetValueOrDefault(destination) is not { } options || !options.Takes(referral.Tier) || reader.Read(kept.Raw.ToArray()).Encounter is not { } encounter)
        {
            return OperatorOutcome.WrongState;
        }

        var seeds = await identities.ResolveAsync(encounter.Clinic.Id, encounter.EncounterId, encounter.Patient.Id, encounter.Practitioner.Id, stop);
        var judgement = judge.Judge(encounter, RevisionMaker.Identity(seeds), await histories.ReadAsync(encounter, stop), destination: destination);
        if (judgement.IsKeptFromReceiver && referral.Objection != ReferralObjection.Overridden)
        {
            return OperatorOutcome.PatientObjects;
        }

        var turn = (await referrals.TimelineAsync(reach, referralId, stop)).Count(entry => entry.Kind == "redirected") + 1;
        return judgement.Report.IsValid && revisions.Outgoing(judgement, seeds, kept.PracticeOds) is { } made
            ? await control.RedirectAsync(
                reach,
                referralId,
                act,
                made with { IdempotencyKey = EncounterIdentity.NameBased(seeds.Encounter, string.Create(CultureInfo.InvariantCulture, $"idempotency/{encounter.Revision}/redirect/{turn}")).ToString() },
                [.. judgement.Resources.Where(resource => NamesTheReceiver.Contains(resource.TypeName))],
                stop)
            : OperatorOutcome.WrongState;
    }
}
