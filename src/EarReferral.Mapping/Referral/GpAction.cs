using EarReferral.Encounters;
using EarReferral.Mapping.Record;
using EarReferral.Triage.Decisions;

namespace EarReferral.Mapping.Referral;

/// <summary>What a visit asks the GP practice to do, as the first line of its summary says it.</summary>
public static class GpAction
{
    /// <summary>One sentence per thing asked, most urgent rule first; none where the practice only files the summary, or where no practice is recorded.</summary>
    /// <param name="encounter">The visit.</param>
    /// <param name="decision">What the rules and the clinician say of it.</param>
    public static IReadOnlyList<string> Of(ClinicEncounter encounter, TriageDecision decision)
    {
        ArgumentNullException.ThrowIfNull(encounter);
        ArgumentNullException.ThrowIfNull(decision);
        var hasPractice = encounter.Patient.GpPractice is not null;
        var declined = hasPractice && encounter.Consent.SharingWithGp is not Answer.No
            && RuleAnswers.Of(encounter, decision).Any(answer => answer.Settles && answer.Response.Kind is RuleResponseKind.DeclinedByPatient);
        return RuleAnswers.Standing(encounter, decision)
            .Where(rule => hasPractice && RuleDestination.Of(rule) is DestinationKind.Gp)
            .Select(rule => RuleDestination.Action(rule, encounter))
            .Concat(encounter.FollowUp is { Kind: FollowUpKind.GpReview } review ? [$"GP: please review the patient ({ProcedureMapper.FollowUpWords(review)})."] : [])
            .Concat(declined ? ["GP: please offer again what the patient declined; nobody else has been asked to."] : [])
            .Distinct(StringComparer.Ordinal)
            .ToList();
    }
}
