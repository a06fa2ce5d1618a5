using System.Globalization;
using EarReferral.Encounters;
using EarReferral.Encounters.Reading;
using EarReferral.Mapping.Referral;
using EarReferral.Triage.Decisions;

namespace EarReferral.Gateway.Intake;

/// <summary>What a clinician's decision must hold, given what the rules say about the encounter.</summary>
internal static class DecisionRules
{
    /// <summary>How far a clinic's clock may run ahead of ours.</summary>
    private static readonly TimeSpan ClockDifference = TimeSpan.FromMinutes(15);

    /// <summary>Everything that keeps the decision from counting; nothing is stored that would not count.</summary>
    /// <param name="decision">The decision, sound in its form.</param>
    /// <param name="encounter">The encounter with the decision written into it.</param>
    /// <param name="rules">What the rules say about it.</param>
    /// <param name="now">When it arrived.</param>
    public static IEnumerable<EncounterProblem> Problems(ClinicianDecision decision, ClinicEncounter encounter, TriageDecision rules, DateTimeOffset now)
    {
        if (decision.Instant > now + ClockDifference || decision.Instant < encounter.EvaluationInstant)
        {
            yield return IntakeProblems.DecisionTime.At("/at");
        }

        if (decision.Tier is not null)
        {
            foreach (var problem in OfTier(decision, Urgency.Of(encounter, rules)))
            {
                yield return problem;
            }
        }

        var answers = RuleAnswers.Of(encounter, rules);
        var given = decision.RuleResponses ?? [];
        for (var index = 0; index < given.Count; index++)
        {
            var pointer = string.Create(CultureInfo.InvariantCulture, $"/ruleResponses/{index}");
            var mine = answers.Where(answer => answer.Response.RuleId == given[index].RuleId
                && (given[index].Side is not { } side || string.Equals(side, answer.Rule.Side?.ToString(), StringComparison.OrdinalIgnoreCase))).ToList();
            if (mine.Count == 0)
            {
                yield return IntakeProblems.DecisionRule.At($"{pointer}/ruleId");
            }

            foreach (var gap in mine.SelectMany(answer => answer.Lacking).Distinct())
            {
                yield return Problem(gap, pointer, mine[0].Response.Kind);
            }
        }
    }

    private static IEnumerable<EncounterProblem> OfTier(ClinicianDecision decision, Urgency urgency)
    {
        switch (urgency.Choice)
        {
            case ClinicianChoice.LoweringNotConfirmed:
                yield return IntakeProblems.DecisionConfirmation.At("/confirmedBy");
                break;
            case ClinicianChoice.None or ClinicianChoice.Raised or ClinicianChoice.Lowered:
                break;
        }

        if (decision.Reason is null && urgency.Choice is ClinicianChoice.Lowered or ClinicianChoice.LoweringNotConfirmed)
        {
            yield return IntakeProblems.DecisionReason.At("/reason");
        }
    }

    private static EncounterProblem Problem(AnswerGap gap, string pointer, RuleResponseKind kind) => gap switch
    {
        AnswerGap.Capacity => IntakeProblems.DecisionCapacity.At($"{pointer}/capacity"),
        AnswerGap.Risks => IntakeProblems.DecisionRisks.At($"{pointer}/risksExplained"),
        AnswerGap.Receiver => IntakeProblems.DecisionReceiver.At($"{pointer}/handedTo"),
        AnswerGap.Time => IntakeProblems.DecisionWhen.At(kind is RuleResponseKind.AlreadyReferred ? $"{pointer}/referredOn" : $"{pointer}/handedAt"),
        AnswerGap.Confirmation => IntakeProblems.DecisionConfirmation.At($"{pointer}/confirmedBy"),
    };
}
