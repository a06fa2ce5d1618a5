using System.Text.Json;
using EarReferral.Testing;
using EarReferral.Triage.Decisions;
using EarReferral.Triage.Evaluation;
using Hl7.Fhir.Model;

namespace EarReferral.Triage.Tests.Cases;

/// <summary>One worked example of a rule, with its published source.</summary>
public sealed record Vector(
    string Id,
    string? Rule,
    string? Expect,
    string Why,
    string Source,
    string EvaluatedAt,
    string Zone,
    string? BirthDate,
    string? Tier,
    IReadOnlyList<string>? Rules,
    IReadOnlyDictionary<string, JsonElement>? Right,
    IReadOnlyDictionary<string, JsonElement>? Left,
    IReadOnlyDictionary<string, JsonElement>? Patient)
{
    private static readonly JsonSerializerOptions Options = new(JsonSerializerDefaults.Web);

    /// <summary>Every vector of the folder, in the order of files and rows.</summary>
    public static IReadOnlyList<Vector> All { get; } = [.. Directory
        .EnumerateFiles(Repository.At("tests", "EarReferral.Triage.Tests", "Vectors"), "*.json", SearchOption.AllDirectories)
        .Order(StringComparer.Ordinal)
        .SelectMany(path => JsonSerializer.Deserialize<List<Vector>>(File.ReadAllText(path), Options)!)];

    public static Vector ById(string id) => All.Single(vector => vector.Id == id);

    public DateTimeOffset Instant => DateTimeOffset.Parse(EvaluatedAt, System.Globalization.CultureInfo.InvariantCulture);

    public TimeZoneInfo ClinicZone => TimeZoneInfo.FindSystemTimeZoneById(Zone);

    public IReadOnlyList<Resource> Record()
    {
        var builder = new RecordBuilder().Born(BirthDate);
        foreach (var (side, facts) in new[] { ("right", Right), ("left", Left), (null, Patient) })
        {
            foreach (var (finding, value) in facts ?? new Dictionary<string, JsonElement>())
            {
                builder.Add(side, finding, value);
            }
        }

        return builder.Resources;
    }

    public TriageDecision Decide() => TriageEngine.Decide(RuleBookFiles.Book, Record(), Instant, ClinicZone);

    /// <inheritdoc />
    public override string ToString() => Id;
}
