using EarReferral.Encounters;
using EarReferral.Triage.Decisions;

namespace EarReferral.Mapping.Referral;

/// <summary>Which rules still ask for something once the clinician's answers are read. The rules themselves go on firing.</summary>
/// <remarks>Decision record 0017. What makes an answer count is our own proposal, apart from capacity: Mental Capacity Act 2005, section 3.</remarks>
public static class RuleAnswers
{
    /// <summary>The newest answer to each rule that fired, most urgent rule first; an answer to a rule that did not fire says nothing.</summary>
    public static IReadOnlyList<RuleAnswer> Of(ClinicEncounter encounter, TriageDecision decision) =>
    [
        .. decision.Fired.Where(rule => rule.Tier is not Tier.T4).SelectMany(rule => encounter.RuleResponses
            .Where(response => Answers(response, rule))
            .OrderBy(response => response.At)
            .TakeLast(1)
            .Select(response => new RuleAnswer(response, rule, [.. Gaps(response, rule.Tier)]))),
    ];

    /// <summary>The rules of a referring tier that no answer settles; an order rests on them alone.</summary>
    public static IReadOnlyList<FiredRule> Standing(ClinicEncounter encounter, TriageDecision decision)
    {
        var settled = Of(encounter, decision).Where(answer => answer.Settles).Select(answer => answer.Rule).ToHashSet(ReferenceEqualityComparer.Instance);
        return [.. decision.Fired.Where(rule => rule.Tier is not Tier.T4 && !settled.Contains(rule))];
    }

    /// <summary>The standing rules for which no handover by phone is recorded, so that T0 and T1 among them still need the call.</summary>
    public static IReadOnlyList<FiredRule> Unphoned(ClinicEncounter encounter, TriageDecision decision)
    {
        var phoned = Of(encounter, decision).Where(answer => answer.WasPhoned).Select(answer => answer.Rule).ToHashSet(ReferenceEqualityComparer.Instance);
        return [.. Standing(encounter, decision).Where(rule => !phoned.Contains(rule))];
    }

    /// <summary>What the patient declined and objects to sharing with the GP practice: theirs to keep from it, with the reason and the rule.</summary>
    public static IReadOnlyList<RuleAnswer> KeptFromGp(ClinicEncounter encounter, TriageDecision decision) => encounter.Consent.SharingWithGp is Answer.No
        ? [.. Of(encounter, decision).Where(answer => answer.Counts && answer.Response.Kind is RuleResponseKind.DeclinedByPatient)]
        : [];

    /// <summary>Whether an answer is about a rule that fired.</summary>
    public static bool Answers(RuleResponse response, FiredRule rule) =>
        response.RuleId == rule.Id && (response.Side is null || (rule.Side is { } side && ReferralMapper.Side(side) == response.Side));

    private static IEnumerable<AnswerGap> Gaps(RuleResponse response, Tier tier)
    {
        switch (response.Kind)
        {
            case RuleResponseKind.DeclinedByPatient:
                if (response.Capacity is not (Capacity.HasCapacity or Capacity.ParentalResponsibility))
                {
                    yield return AnswerGap.Capacity;
                }

                if (response.RisksExplained is not Answer.Yes)
                {
                    yield return AnswerGap.Risks;
                }

                break;
            case RuleResponseKind.AlreadyReferred or RuleResponseKind.HandedOverByPhone or RuleResponseKind.HandedOverWithPatient:
                if (string.IsNullOrWhiteSpace(response.HandedTo))
                {
                    yield return AnswerGap.Receiver;
                }

                if (response.Kind is RuleResponseKind.AlreadyReferred ? response.ReferredOn is null : response.HandedAt is null)
                {
                    yield return AnswerGap.Time;
                }

                break;
        }

        if (tier is Tier.T0 or Tier.T1 && string.IsNullOrWhiteSpace(response.ConfirmedBy))
        {
            yield return AnswerGap.Confirmation;
        }
    }
}
