using System.Globalization;
using EarReferral.Mapping.Referral;
using EarReferral.Referrals.LaterVisits;
using EarReferral.Storage;
using EarReferral.Storage.Identity;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Resources;
using EarReferral.Validation;
using Hl7.Fhir.Model;
using FhirTask = Hl7.Fhir.Model.Task;

namespace EarReferral.Gateway.Intake;

/// <summary>Puts what a judgement says about an open referral into what the store keeps.</summary>
internal sealed class LaterVisitTies(ResourceStore resources, Lazy<ReferralValidator> validator)
{
    private static readonly Reach Task = new Reach.Everything("Task of an open referral that a later visit is about");

    /// <summary>The tie; null when there is none.</summary>
    /// <param name="judgement">What was judged.</param>
    /// <param name="seeds">Identities of the visit.</param>
    /// <param name="open">The open referrals that it was judged with.</param>
    /// <param name="at">When it was received.</param>
    /// <param name="stop">Stops the wait.</param>
    public async Task<LaterVisitTie?> OfAsync(Judgement judgement, IdentitySeeds seeds, IReadOnlyList<OpenReferral> open, DateTimeOffset at, CancellationToken stop)
    {
        if (judgement.State == ReceiptState.Quarantined || judgement.LaterVisit is not { Relation: not LaterVisitRelation.Separate } later)
        {
            return null;
        }

        var earlier = open.Single(each => each.ReferralId == later.Open.Id);
        var tier = judgement.Decision.Tier;
        return later.Relation == LaterVisitRelation.Replaces
            ? new LaterVisitTie(earlier.ReferralId, earlier.IsKept, judgement.Referral!.Request.Id, new ReferralEvent(at, "replaced-by-later-visit", "gateway", Detail:
                string.Create(CultureInfo.InvariantCulture, $"A later visit refers again ({judgement.Urgency.Tier}): {judgement.Referral.Request.Id} takes the place of this referral, which stays open until a clinician closes it.")), Note: null)
            : new LaterVisitTie(earlier.ReferralId, earlier.IsKept, ReplacedBy: null, new ReferralEvent(at, "later-visit", "gateway", Detail:
                string.Create(CultureInfo.InvariantCulture, $"The patient was seen again for the same reason ({tier}), revision {judgement.Encounter.Revision}; no second referral was made.")), await NoteAsync(judgement, seeds, earlier, stop));
    }

    private async Task<Communication> NoteAsync(Judgement judgement, IdentitySeeds seeds, OpenReferral earlier, CancellationToken stop)
    {
        var task = await resources.ReadAsync(Task, "Task", earlier.TaskId, stop)
            ?? throw new InvalidOperationException($"Referral {earlier.ReferralId} has no Task.");
        var note = LaterVisitNote.Map((FhirTask)task.Parse(), judgement.Encounter, judgement.Record, judgement.Decision, RevisionMaker.Identity(seeds));
        return validator.Value.Validate(note) is { IsValid: false } report
            ? throw new InvalidOperationException($"A note about a later visit does not meet its profile: {string.Join(' ', report.Issues.Select(issue => issue.RuleId).Distinct())}")
            : note;
    }
}
