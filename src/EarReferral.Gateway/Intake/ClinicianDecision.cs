using System.ComponentModel;
using System.Globalization;
using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using EarReferral.Encounters.Reading;

namespace EarReferral.Gateway.Intake;

/// <summary>What a clinician decides about a stored encounter in place of the rules, or answers to rules that fired.</summary>
internal sealed record ClinicianDecision
{
    private const string ClinicianAlone = "More urgent in the judgement of the clinician.";

    private static readonly IReadOnlyList<string> Tiers = ["T0", "T1", "T2", "T2C", "T3", "T4"];

    [Description("Who decides, by name.")]
    public string? Person { get; init; }

    [Description("When it was decided, with seconds and offset.")]
    public string? At { get; init; }

    [Description("The tier that is to be acted on: T0, T1, T2, T2C, T3 or T4. Left out, the tier stays as it is.")]
    public string? Tier { get; init; }

    [Description("Why, in words. Needed to lower the tier; raising it is free.")]
    public string? Reason { get; init; }

    [Description("Second confirmation: who confirms that T0 or T1, or an open question of these tiers, is lowered.")]
    public string? ConfirmedBy { get; init; }

    [Description("Answers to rules that fired. One about the same rule and side replaces the one before.")]
    public IReadOnlyList<ClinicianAnswer>? RuleResponses { get; init; }

    /// <summary>Everything that is wrong with its form.</summary>
    public IReadOnlyList<EncounterProblem> Problems() =>
    [
        .. Fits(Person, 200) ? Array.Empty<EncounterProblem>() : [IntakeProblems.DecisionPerson.At("/person")],
        .. Instant is null ? [IntakeProblems.DecisionTime.At("/at")] : Array.Empty<EncounterProblem>(),
        .. Tier is null && RuleResponses is not [_, ..] ? [IntakeProblems.DecisionEmpty.At("")] : Array.Empty<EncounterProblem>(),
        .. Tier is null || Tiers.Contains(Tier) ? Array.Empty<EncounterProblem>() : [IntakeProblems.DecisionTier.At("/tier")],
        .. Reason is null || Fits(Reason, 2000) ? Array.Empty<EncounterProblem>() : [IntakeProblems.DecisionReason.At("/reason")],
        .. (RuleResponses ?? []).SelectMany((response, index) => response.Problems(string.Create(CultureInfo.InvariantCulture, $"/ruleResponses/{index}"))),
    ];

    /// <summary>When it was decided; null when that cannot be read.</summary>
    public DateTimeOffset? Instant => At is { Length: >= 20 } && DateTimeOffset.TryParse(At, CultureInfo.InvariantCulture, out var at) ? at : null;

    /// <summary>The stored document with the decision in it, as the next revision; the same decision always gives the same document.</summary>
    public byte[] WriteInto(ReadOnlySpan<byte> stored, int revision)
    {
        var document = JsonNode.Parse(stored)!.AsObject();
        if (Tier is not null)
        {
            document["tierOverride"] = Signed(new JsonObject { ["tier"] = Camel(Tier), ["reason"] = Reason ?? ClinicianAlone }, ConfirmedBy);
        }

        if (RuleResponses is [_, ..])
        {
            var kept = document["ruleResponses"] is JsonArray before ? before : [];
            document["ruleResponses"] = new JsonArray(
            [
                .. kept.Where(response => !RuleResponses.Any(answer => answer.Replaces(response!))).Select(response => response!.DeepClone()),
                .. RuleResponses.Select(answer => Signed(answer.Write(), answer.ConfirmedBy)),
            ]);
        }

        document["revision"] = revision + 1;
        document["supersedes"] = new JsonObject { ["revision"] = revision, ["reason"] = $"Decision of the clinician, {At}", ["person"] = Person };
        return Encoding.UTF8.GetBytes(document.ToJsonString());
    }

    private JsonObject Signed(JsonObject entry, string? confirmedBy)
    {
        entry["person"] = Person;
        entry["at"] = At;
        if (!string.IsNullOrWhiteSpace(confirmedBy))
        {
            entry["confirmedBy"] = confirmedBy;
        }

        return entry;
    }

    private static string Camel(string tier) => JsonNamingPolicy.CamelCase.ConvertName(tier);

    internal static bool Fits(string? text, int longest) => !string.IsNullOrWhiteSpace(text) && text.Length <= longest;
}
