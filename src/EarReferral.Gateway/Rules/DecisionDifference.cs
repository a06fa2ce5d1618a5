using EarReferral.Triage.Decisions;

namespace EarReferral.Gateway.Rules;

/// <summary>What a second decision about the same encounter says otherwise than the first.</summary>
/// <param name="TierBefore">Tier of the rules that fired before.</param>
/// <param name="TierAfter">Tier of the rules that fire now.</param>
/// <param name="NewlyFired">Rules that fire now and did not, each as number, side and tier.</param>
/// <param name="NoLongerFired">Rules that fired and do not now.</param>
/// <param name="QuestionsOpened">Rules that now ask.</param>
/// <param name="QuestionsClosed">Rules that asked and do not now.</param>
internal sealed record DecisionDifference(
    string TierBefore,
    string TierAfter,
    IReadOnlyList<string> NewlyFired,
    IReadOnlyList<string> NoLongerFired,
    IReadOnlyList<string> QuestionsOpened,
    IReadOnlyList<string> QuestionsClosed)
{
    /// <summary>True when both decisions say the same.</summary>
    public bool IsNone => TierBefore == TierAfter && NewlyFired.Count + NoLongerFired.Count + QuestionsOpened.Count + QuestionsClosed.Count == 0;

    /// <summary>The differences one by one, in words.</summary>
    public IReadOnlyList<string> Lines() =>
    [
        .. TierBefore == TierAfter ? Array.Empty<string>() : [$"tier {TierBefore} would be {TierAfter}"],
        .. NewlyFired.Select(rule => $"would fire: {rule}"),
        .. NoLongerFired.Select(rule => $"would no longer fire: {rule}"),
        .. QuestionsOpened.Select(rule => $"would ask: {rule}"),
        .. QuestionsClosed.Select(rule => $"would no longer ask: {rule}"),
    ];

    /// <summary>Compares two decisions.</summary>
    public static DecisionDifference Between(TriageDecision before, TriageDecision after)
    {
        var (firedBefore, firedAfter) = (Fired(before), Fired(after));
        var (askedBefore, askedAfter) = (Asked(before), Asked(after));
        return new DecisionDifference(
            before.Tier.ToString(),
            after.Tier.ToString(),
            [.. firedAfter.Except(firedBefore)],
            [.. firedBefore.Except(firedAfter)],
            [.. askedAfter.Except(askedBefore)],
            [.. askedBefore.Except(askedAfter)]);
    }

    private static List<string> Fired(TriageDecision decision) => [.. decision.Fired.Select(rule => Name(rule.Id, rule.Side, rule.Tier))];

    private static List<string> Asked(TriageDecision decision) => [.. decision.Questions.Select(question => Name(question.RuleId, question.Side, question.Tier))];

    private static string Name(string rule, DecisionSide? side, Tier tier) =>
        side is { } ear ? $"{rule} {(ear is DecisionSide.Right ? "right ear" : "left ear")} {tier}" : $"{rule} {tier}";
}
