using System.Text.Json;
using EarReferral.Testing;

namespace EarReferral.Triage.Tests.Vectors;

/// <summary>What a rule must do with a vector.</summary>
public enum Expectation { Fires, Silent, CannotExclude }

/// <summary>One test vector; README.md beside the files says what each field means.</summary>
public sealed record RuleVector
{
    private static readonly JsonSerializerOptions Web = new(JsonSerializerDefaults.Web)
    {
        Converters = { new System.Text.Json.Serialization.JsonStringEnumConverter() },
        UnmappedMemberHandling = System.Text.Json.Serialization.JsonUnmappedMemberHandling.Disallow,
    };

    public required string Id { get; init; }

    public required string Rule { get; init; }

    public required Expectation Expect { get; init; }

    public required string Why { get; init; }

    public required string Source { get; init; }

    public required DateTimeOffset EvaluatedAt { get; init; }

    public required string Zone { get; init; }

    public required string BirthDate { get; init; }

    public string? Tier { get; init; }

    public IReadOnlyList<string>? Rules { get; init; }

    public IReadOnlyList<string>? Questions { get; init; }

    public required IReadOnlyDictionary<string, JsonElement> Right { get; init; }

    public required IReadOnlyDictionary<string, JsonElement> Left { get; init; }

    public required IReadOnlyDictionary<string, JsonElement> Patient { get; init; }

    /// <summary>The vectors of all files, by file name.</summary>
    public static IReadOnlyList<RuleVector> All { get; } =
    [
        .. Directory.GetFiles(Repository.At("tests", "EarReferral.Triage.Tests", "Vectors"), "*.json").Order(StringComparer.Ordinal)
            .SelectMany(file => JsonSerializer.Deserialize<RuleVector[]>(File.ReadAllBytes(file), Web)!),
    ];

    public override string ToString() => Id;
}
