using EarReferral.Encounters;
using EarReferral.Triage.Decisions;

namespace EarReferral.Mapping.Referral;

/// <summary>The urgency that is acted on: what the rules say, unless the clinician validly decided otherwise.</summary>
/// <param name="Tier">The tier.</param>
/// <param name="Due">When it must be done by; null without referral.</param>
/// <param name="Choice">What became of the clinician's own tier.</param>
public sealed record Urgency(Tier Tier, DateTimeOffset? Due, ClinicianChoice Choice)
{
    /// <summary>
    /// A rule that the patient declined or that was ordered before asks for nothing more (<see cref="RuleAnswers"/>). Raising always counts. Lowering counts with its reason; lowering T0 or T1, or settling below an open question of these tiers,
    /// counts only with a second confirmation, and otherwise the rules stand.
    /// </summary>
    public static Urgency Of(ClinicEncounter encounter, TriageDecision decision)
    {
        // What the patient declined, or somebody ordered before, asks for no order; the rule goes on firing and stays in the record.
        var standing = RuleAnswers.Standing(encounter, decision);
        var rules = standing.Count == 0 ? Tier.T4 : standing.Max(rule => rule.Tier);
        DateTimeOffset? ruleDue = standing.Select(rule => (DateTimeOffset?)rule.Due).Min();
        if (encounter.TierOverride is not { } chosen || Chosen(chosen.Tier) == rules)
        {
            return new Urgency(rules, ruleDue, ClinicianChoice.None);
        }

        var tier = Chosen(chosen.Tier);
        if (tier > rules)
        {
            var due = Deadline(tier, decision.EvaluatedAt);
            return new Urgency(tier, ruleDue < due ? ruleDue : due, ClinicianChoice.Raised);
        }

        var atStake = decision.Questions.Select(question => question.Tier).Append(rules).Max();
        var confirmed = atStake is not (Tier.T0 or Tier.T1) || !string.IsNullOrWhiteSpace(chosen.ConfirmedBy);
        return confirmed
            ? new Urgency(tier, Deadline(tier, decision.EvaluatedAt), ClinicianChoice.Lowered)
            : new Urgency(rules, ruleDue, ClinicianChoice.LoweringNotConfirmed);
    }

    /// <summary>
    /// Time limits of the tiers where no rule gives one: 24 hours and 2 weeks after NICE NG98 1.1.2, 18 weeks after the NHS Constitution;
    /// 4 hours for an emergency is common practice, no source.
    /// </summary>
    private static DateTimeOffset? Deadline(Tier tier, DateTimeOffset from) => tier switch
    {
        Tier.T0 => from.AddHours(4),
        Tier.T1 => from.AddHours(24),
        Tier.T2 => from.AddDays(14),
        Tier.T2C => from.AddDays(14),
        Tier.T3 => from.AddDays(126),
        Tier.T4 => null,
    };

    private static Tier Chosen(ClinicTier tier) => tier switch
    {
        ClinicTier.T0 => Tier.T0,
        ClinicTier.T1 => Tier.T1,
        ClinicTier.T2 => Tier.T2,
        ClinicTier.T2C => Tier.T2C,
        ClinicTier.T3 => Tier.T3,
        ClinicTier.T4 => Tier.T4,
    };
}

/// <summary>What became of a tier that the clinician chose.</summary>
public enum ClinicianChoice
{
    /// <summary>None was chosen, or the same as the rules'.</summary>
    None,

    /// <summary>More urgent than the rules; counts.</summary>
    Raised,

    /// <summary>Less urgent than the rules; counts.</summary>
    Lowered,

    /// <summary>Less urgent than an emergency or immediate rule without second confirmation; does not count.</summary>
    LoweringNotConfirmed,
}
