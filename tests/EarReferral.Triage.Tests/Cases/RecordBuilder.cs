using System.Globalization;
using System.Text.Json;
using EarReferral.Triage.Rules;
using Hl7.Fhir.Model;

namespace EarReferral.Triage.Tests.Cases;

/// <summary>Builds the mapped resources that facts of a vector stand for, by the conventions of the record and not by the engine's code.</summary>
internal sealed class RecordBuilder
{
    private const string Base = "https://ear-referral.example/fhir";
    private static readonly Dictionary<string, VariableKind> Kinds = RuleBookFiles.Book.Variables.Values
        .SelectMany(variable => variable.FindingCodes.Select(code => (code, variable.Kind)))
        .GroupBy(pair => pair.code).ToDictionary(group => group.Key, group => group.First().Kind);

    private readonly List<Resource> resources = [];

    public IReadOnlyList<Resource> Resources => resources;

    public RecordBuilder Born(string? date)
    {
        resources.Add(new Patient { Id = "patient", BirthDate = date });
        return this;
    }

    public RecordBuilder Add(string? side, string finding, JsonElement value)
    {
        if (finding is "thresholds" or "earlierThresholds")
        {
            foreach (var threshold in value.EnumerateArray())
            {
                AddThreshold(side, finding == "thresholds" ? "audiogram-threshold" : "audiogram-threshold-earlier", threshold);
            }

            return this;
        }

        var parts = finding.Split(':');
        var code = parts[^1];
        var observation = Start(side, code);
        if (code.StartsWith("canal-", StringComparison.Ordinal) || code.StartsWith("drum-", StringComparison.Ordinal))
        {
            observation.Category.Add(new CodeableConcept(Base + "/CodeSystem/examination-moment", parts.Length == 2 ? parts[0] : "after"));
        }

        SetValue(observation, code, value);
        resources.Add(observation);
        return this;
    }

    private static void SetValue(Observation observation, string code, JsonElement value)
    {
        if (value.ValueKind is JsonValueKind.Number)
        {
            observation.Value = new Quantity { Value = value.GetDecimal(), System = "http://unitsofmeasure.org", Code = code.Contains("hours", StringComparison.Ordinal) ? "h" : "1" };
            return;
        }

        var text = value.GetString()!;
        var coded = Kinds.TryGetValue(code, out var kind) && kind is VariableKind.Code;
        switch (text)
        {
            case "notAsked" or "not-asked":
                observation.DataAbsentReason = new CodeableConcept("http://terminology.hl7.org/CodeSystem/data-absent-reason", "not-asked");
                break;
            case "notSeen" or "not-seen" or "not-done" or "not-checked" or "not-assessed":
                observation.DataAbsentReason = new CodeableConcept("http://terminology.hl7.org/CodeSystem/data-absent-reason", "not-performed");
                break;
            case "not-known":
                observation.DataAbsentReason = new CodeableConcept("http://terminology.hl7.org/CodeSystem/data-absent-reason", "unknown");
                break;
            case "yes" or "present" when !coded:
                observation.Value = new CodeableConcept("http://snomed.info/sct", "52101004");
                break;
            case "no" or "absent" when !coded:
                observation.Value = new CodeableConcept("http://snomed.info/sct", "2667000");
                break;
            case [>= '0' and <= '9', ..]:
                observation.Value = new FhirDateTime(text);
                break;
            default:
                observation.Value = new CodeableConcept(Base + "/CodeSystem/" + code, text);
                break;
        }
    }

    private void AddThreshold(string? side, string code, JsonElement threshold)
    {
        var observation = Start(side, code);
        observation.Value = new Quantity { Value = threshold.GetProperty("db").GetDecimal(), System = "http://unitsofmeasure.org", Code = "dB" };
        observation.Component =
        [
            new() { Code = Finding("threshold-frequency"), Value = new Quantity { Value = threshold.GetProperty("hz").GetDecimal(), System = "http://unitsofmeasure.org", Code = "Hz" } },
            new() { Code = Finding("threshold-conduction"), Value = new CodeableConcept(Base + "/CodeSystem/conduction", threshold.GetProperty("conduction").GetString()) },
        ];
        resources.Add(observation);
    }

    private Observation Start(string? side, string code) => new()
    {
        Id = string.Create(CultureInfo.InvariantCulture, $"observation-{resources.Count}"),
        Code = Finding(code),
        BodySite = side is null ? null : new CodeableConcept("http://snomed.info/sct", side == "right" ? "25577004" : "89644007"),
    };

    private static CodeableConcept Finding(string code) => new(Base + "/CodeSystem/finding", code);
}
