using System.Text.Json;
using System.Text.RegularExpressions;
using Hl7.Fhir.Model;

namespace EarReferral.Triage.Tests.Vectors;

/// <summary>Turns the facts of a vector into the resources that the rules read, without the mapping, so that the two check each other.</summary>
internal static partial class VectorRecord
{
    private const string Base = "https://ear-referral.example/fhir/CodeSystem/";
    private const string Snomed = "http://snomed.info/sct";
    private const string Ucum = "http://unitsofmeasure.org";

    private static readonly Coding RightEar = new(Snomed, "25577004", "Right ear structure");
    private static readonly Coding LeftEar = new(Snomed, "89644007", "Left ear structure");

    public static IReadOnlyList<Resource> Of(RuleVector vector)
    {
        List<Resource> record =
        [
            new Patient { Id = "patient", BirthDate = vector.BirthDate },
            .. Part(vector.Right, RightEar),
            .. Part(vector.Left, LeftEar),
            .. Part(vector.Patient, null),
        ];
        foreach (var (observation, number) in record.OfType<Observation>().Select((observation, number) => (observation, number)))
        {
            observation.Id = $"o{number}";
            observation.Subject = new ResourceReference("Patient/patient");
        }

        return record;
    }

    private static IEnumerable<Observation> Part(IReadOnlyDictionary<string, JsonElement> facts, Coding? side) =>
        facts.SelectMany(fact => fact.Key switch
        {
            "thresholds" => fact.Value.EnumerateArray().Select(threshold => Threshold("audiogram-threshold", threshold, side)),
            "earlierThresholds" => fact.Value.EnumerateArray().Select(threshold => Threshold("audiogram-threshold-earlier", threshold, side)),
            "derivedThresholds" => fact.Value.EnumerateArray().Select(threshold => Threshold("derived-audiogram-threshold", threshold, side)),
            _ => [Finding(fact.Key, fact.Value, side)],
        });

    private static Observation Finding(string key, JsonElement value, Coding? side)
    {
        var (moment, code) = key.Split(':') is [var named, var rest] ? (named, rest) : ("after", key);
        var observation = New(code, side);
        if (code.StartsWith("canal-", StringComparison.Ordinal) || code.StartsWith("drum-", StringComparison.Ordinal))
        {
            observation.Category.Add(new CodeableConcept(Base + "examination-moment", moment));
        }

        if (value.ValueKind is JsonValueKind.Number)
        {
            observation.Value = new Quantity { Value = value.GetDecimal(), System = Ucum, Code = Unit(code) };
            return observation;
        }

        var text = value.GetString()!;
        observation.DataAbsentReason = text switch
        {
            "notAsked" => new CodeableConcept("http://terminology.hl7.org/CodeSystem/data-absent-reason", "not-asked"),
            "notSeen" => new CodeableConcept("http://terminology.hl7.org/CodeSystem/data-absent-reason", "not-performed"),
            _ => null,
        };
        observation.Value = text switch
        {
            "notAsked" or "notSeen" => null,

            // The answer to "did treatment help" is a closed list with "partial" in it, not a yes or no.
            _ when code.EndsWith("-responded-to-treatment", StringComparison.Ordinal) => new CodeableConcept(Base + "treatment-response", text),
            "yes" or "present" => new CodeableConcept(Snomed, "52101004", "Present", null),
            "no" or "absent" => new CodeableConcept(Snomed, "2667000", "Absent", null),
            _ when StartsWithYear().IsMatch(text) => new FhirDateTime(text),
            _ when code == "advice-drops-advised" => new FhirString(text),
            _ => new CodeableConcept(Base + code, text),
        };
        return observation;
    }

    private static Observation Threshold(string code, JsonElement threshold, Coding? side)
    {
        var observation = New(code, side);
        observation.Value = new Quantity { Value = threshold.GetProperty("db").GetDecimal(), Unit = "dB HL", System = Ucum, Code = "dB" };
        observation.Component =
        [
            new Observation.ComponentComponent
            {
                Code = new CodeableConcept(Base + "finding", "threshold-frequency"),
                Value = new Quantity { Value = threshold.GetProperty("hz").GetDecimal(), Unit = "Hz", System = Ucum, Code = "Hz" },
            },
            new Observation.ComponentComponent
            {
                Code = new CodeableConcept(Base + "finding", "threshold-conduction"),
                Value = new CodeableConcept(Base + "conduction", threshold.GetProperty("conduction").GetString()!),
            },
        ];
        return observation;
    }

    private static Observation New(string code, Coding? side) => new()
    {
        Status = ObservationStatus.Final,
        Category = [new CodeableConcept("http://terminology.hl7.org/CodeSystem/observation-category", "exam")],
        Code = new CodeableConcept(Base + "finding", code),
        BodySite = side is null ? null : new CodeableConcept { Coding = [side] },
    };

    private static string Unit(string code) => code switch
    {
        "hearing-developed-over-hours" => "h",
        "hearing-developed-over-days" => "d",
        "general-temperature" => "Cel",
        "patient-complications-vertigo-minutes" => "min",
        _ => "1",
    };

    [GeneratedRegex("^[0-9]{4}(-|$)")]
    private static partial Regex StartsWithYear();
}
