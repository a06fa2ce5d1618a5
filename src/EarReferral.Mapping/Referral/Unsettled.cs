using EarReferral.Mapping.Record;
using EarReferral.Triage.Decisions;

namespace EarReferral.Mapping.Referral;

/// <summary>What an encounter says about itself while an emergency or immediate reason cannot be excluded.</summary>
internal static class Unsettled
{
    /// <summary>One line for each T0 or T1 question, most urgent first; none when the encounter is triaged.</summary>
    public static IEnumerable<string> Lines(TriageDecision decision) => Open(decision)
        .Select(question => $"NOT SETTLED: {What(question)}{Side(question)} not excluded ({question.RuleId}); treat as {Limit(question.Tier)} until answered")
        .Distinct(StringComparer.Ordinal);

    /// <summary>The one action that follows: the clinic asks, today.</summary>
    public static string Action(TriageDecision decision) => "The clinic must reach the patient today and ask: "
        + string.Join(" ", Open(decision).Select(question => question.Text).Distinct(StringComparer.Ordinal));

    private static IEnumerable<OpenQuestion> Open(TriageDecision decision) =>
        decision.Questions.Where(question => question.Tier is Tier.T0 or Tier.T1).OrderByDescending(question => question.Tier);

    private static string Side(OpenQuestion question) =>
        question.Side is { } side ? $", {BodySites.Words(ReferralMapper.Side(side)).ToLowerInvariant()}," : string.Empty;

    private static string Limit(Tier tier) => tier is Tier.T0 ? "an emergency, today within 4 hours," : "immediate, within 24 hours,";

    /// <summary>The family of rules in words; a question does not carry the title of its rule.</summary>
    private static string What(OpenQuestion question) => question.RuleId.Split('-').ElementAtOrDefault(1) switch
    {
        "HL" or "CH" => "hearing loss that needs treatment at once",
        "NE" => "stroke or another acute nerve disease",
        "CX" => "serious complication of the procedure",
        "FB" => "dangerous object in the ear",
        "IN" => "dangerous infection of the ear",
        "TN" => "tinnitus with an acute cause or danger to life",
        "TR" => "serious injury of head or ear",
        "CA" => "progressive nerve disease",
        _ => "urgent reason",
    };
}
