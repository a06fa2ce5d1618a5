using EarReferral.Encounters;
using EarReferral.Triage.Decisions;

namespace EarReferral.Mapping.Referral;

/// <summary>What a clinician answered to a rule that fired for one ear or for the patient.</summary>
/// <param name="Response">The answer as recorded.</param>
/// <param name="Rule">The rule that it answers.</param>
/// <param name="Lacking">What is missing for it to count; empty when it counts. The rule stands as long as an answer does not count.</param>
public sealed record RuleAnswer(RuleResponse Response, FiredRule Rule, IReadOnlyList<AnswerGap> Lacking)
{
    /// <summary>True when the answer holds everything that it needs.</summary>
    public bool Counts => Lacking.Count == 0;

    /// <summary>True when no order follows from the rule: the patient does not want it, or it was ordered before.</summary>
    public bool Settles => Counts && Response.Kind is RuleResponseKind.DeclinedByPatient or RuleResponseKind.AlreadyReferred;

    /// <summary>True when somebody at the receiver was spoken to, so that the call which T0 and T1 ask for was made.</summary>
    public bool WasPhoned => Counts && Response.Kind is RuleResponseKind.HandedOverByPhone;
}

/// <summary>What an answer to a rule can lack.</summary>
public enum AnswerGap
{
    /// <summary>Nobody says that the patient, or a parent for them, can decide this.</summary>
    Capacity,

    /// <summary>Nobody says that the risks were explained.</summary>
    Risks,

    /// <summary>To whom is not said.</summary>
    Receiver,

    /// <summary>When is not said.</summary>
    Time,

    /// <summary>T0 and T1 need a second confirmation.</summary>
    Confirmation,
}
