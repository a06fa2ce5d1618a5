using System.ComponentModel;
using System.ComponentModel.DataAnnotations;
using System.Globalization;
using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using System.Text.Json.Serialization;
using EarReferral.Encounters;
using EarReferral.Encounters.Reading;

namespace EarReferral.Gateway.Intake;

/// <summary>Answers to open questions of a stored encounter.</summary>
internal sealed record Answers
{
    [Description("Who answers.")]
    [Required]
    [StringLength(200, MinimumLength = 1)]
    public required string Person { get; init; }

    [Description("When the answer was given, with offset.")]
    public required DateTimeOffset At { get; init; }

    [Description("One entry per finding named by a question of the receipt.")]
    [Required]
    [MinLength(1)]
    public required IReadOnlyList<FindingAnswer> Given { get; init; }

    /// <summary>The stored document with the answers in it, as the next revision.</summary>
    /// <param name="stored">The document as it was posted; answers are written in its own codes.</param>
    /// <param name="readable">The same in the contract's codes, which tell whether something was answered before.</param>
    /// <param name="revision">Its revision.</param>
    public (byte[] Document, IReadOnlyList<EncounterProblem> Problems) WriteInto(ReadOnlySpan<byte> stored, ReadOnlySpan<byte> readable, int revision)
    {
        var document = JsonNode.Parse(stored)!.AsObject();
        var said = JsonNode.Parse(readable)!.AsObject();
        var problems = new List<EncounterProblem>();
        if (string.IsNullOrWhiteSpace(Person))
        {
            problems.Add(IntakeProblems.PersonMissing.At("/person"));
        }

        for (var index = 0; index < Given.Count; index++)
        {
            var answer = Given[index];
            if (FindingPlace.Find(document, answer.Finding, answer.Side, said) is not var (parent, member))
            {
                problems.Add(IntakeProblems.UnknownFinding.At($"/given/{index}"));
            }
            else if (IsAnswered(said, answer, parent[member]))
            {
                problems.Add(IntakeProblems.AlreadyAnswered.At($"/given/{index}"));
            }
            else
            {
                parent[member] = answer.Value.DeepClone();
            }
        }

        if (Given.Count == 0)
        {
            problems.Add(IntakeProblems.NoneGiven.At("/given"));
        }

        document["revision"] = revision + 1;
        document["supersedes"] = new JsonObject
        {
            ["revision"] = revision,
            ["reason"] = string.Create(CultureInfo.InvariantCulture, $"Answers to open questions, given {At:yyyy-MM-dd'T'HH:mm:sszzz}"),
            ["person"] = Person,
        };
        return (Encoding.UTF8.GetBytes(document.ToJsonString()), problems);
    }

    private static bool IsAnswered(JsonObject said, FindingAnswer answer, JsonNode? written) =>
        FindingPlace.Find(said, answer.Finding, answer.Side) is var (parent, member)
        && (parent[member] ?? written) is { } known
        && !IsUnknown(known);

    private static bool IsUnknown(JsonNode known) =>
        known.GetValueKind() == JsonValueKind.String
        && known.GetValue<string>() is "notAsked" or "notSeen" or "notDone" or "notChecked" or "notKnown" or "notAssessed";
}

/// <summary>One answer.</summary>
internal sealed record FindingAnswer
{
    [Description("Finding code as the question names it, such as hearing-onset-date.")]
    public required string Finding { get; init; }

    [Description("The patient's own side; left out for findings of the whole patient.")]
    [JsonConverter(typeof(SideConverter))]
    public EarSide? Side { get; init; }

    [Description("The value as the contract writes it, such as \"no\" or \"2026-03-12\".")]
    public required JsonValue Value { get; init; }

    /// <summary>Reads the side in camel case, like the contract.</summary>
    private sealed class SideConverter() : JsonStringEnumConverter<EarSide>(JsonNamingPolicy.CamelCase, allowIntegerValues: false);
}
