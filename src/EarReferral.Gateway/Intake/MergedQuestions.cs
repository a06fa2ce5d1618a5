using System.Text.Json;
using EarReferral.Encounters;
using EarReferral.Encounters.Screening;
using EarReferral.Triage.Decisions;

namespace EarReferral.Gateway.Intake;

/// <summary>Open questions as a person asks them: each fact once whatever rules want it, and facts of one group of the minimum screen together.</summary>
internal static class MergedQuestions
{
    /// <summary>The questions, most urgent first, then what most rules wait for.</summary>
    public static IReadOnlyList<ReceiptAsk> Of(IReadOnlyList<OpenQuestion> questions) =>
    [
        .. questions.SelectMany(question => question.Facts.Select(fact => (Question: question, Fact: fact)))
            .GroupBy(asked => Subject(asked.Fact))
            .Select(group => new ReceiptAsk(
                group.Max(asked => asked.Question.Tier).ToString(),
                Text(group.Key, group.First().Fact),
                group.Key.Group is { } screen ? JsonNamingPolicy.CamelCase.ConvertName(screen.ToString()) : null,
                [.. group.Select(asked => asked.Question.RuleId).Distinct()],
                [.. group.SelectMany(asked => asked.Fact.FindingCodes.Select(code => new ReceiptPlace(code, asked.Fact.Side?.ToString().ToLowerInvariant()))).Distinct()]))
            .OrderByDescending(ask => Enum.Parse<Tier>(ask.Tier))
            .ThenByDescending(ask => ask.Rules.Count),
    ];

    /// <summary>A group of the screen, or the fact alone.</summary>
    private static (ScreenGroup? Group, string? Question) Subject(AskedFact fact) =>
        fact.FindingCodes.Select(MinimumScreen.GroupOf).FirstOrDefault(group => group is not null) is { } group ? (group, null) : (null, fact.Question);

    private static string Text((ScreenGroup? Group, string? Question) subject, AskedFact fact) =>
        subject.Group is { } group ? MinimumScreen.Questions.Single(question => question.Group == group).Text : fact.Question;
}
