using System.Globalization;
using EarReferral.Mapping.Codes;
using EarReferral.Triage.Decisions;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Narrative;

/// <summary>Values in words for people.</summary>
internal static class Words
{
    private static readonly string[] ProperNames = ["Chinese", "HINTS", "Rinne", "Weber"];

    /// <summary>An instant as the clinic's wall clock shows it, with its offset.</summary>
    public static string Instant(DateTimeOffset instant) => instant.ToString("yyyy-MM-dd HH:mm '(UTC'zzz')'", CultureInfo.InvariantCulture);

    /// <summary>An instant as one says it, on the clinic's clock: "5.41 pm on Tuesday 31 March".</summary>
    public static string ForPatient(DateTimeOffset instant, TimeZoneInfo clinic)
    {
        var wall = TimeZoneInfo.ConvertTime(instant, clinic);
        return wall.ToString("h.mm ", CultureInfo.InvariantCulture)
            + (wall.Hour < 12 ? "am" : "pm")
            + wall.ToString(" 'on' dddd d MMMM", CultureInfo.InvariantCulture);
    }

    /// <summary>A tier in words with the time limit that it stands for; the word "urgent" alone means different times to different readers.</summary>
    public static string Of(Tier tier) => tier switch
    {
        Tier.T0 => "Emergency, to be seen in the same visit",
        Tier.T1 => "Immediate, to be seen within 24 hours",
        Tier.T2 => "Urgent, to be seen within 2 weeks",
        Tier.T2C => "Suspected cancer pathway, first contact within 2 weeks",
        Tier.T3 => "Routine, local pathway",
        Tier.T4 => "No referral",
    };

    /// <summary>One line for one observation; an unknown says why it is unknown.</summary>
    public static string Of(Observation observation)
    {
        var value = observation.DataAbsentReason is { } reason ? Lower(reason.Text) : Of(observation.Value);
        return $"{observation.Code?.Text}: {value}{Parts(observation)}";
    }

    /// <summary>Something that was found, as part of a sentence: its name alone where the value says no more than yes.</summary>
    public static string Found(Observation observation)
    {
        var value = Of(observation.Value);
        return $"{Lower(observation.Code?.Text)}{(value == "yes" ? string.Empty : $": {value}")}{Parts(observation)}";
    }

    /// <summary>What was asked or looked for, without its answer.</summary>
    public static string Asked(Observation observation)
    {
        const string side = "Side of ";
        var text = observation.Code?.Text;
        return Lower(text?.StartsWith(side, StringComparison.Ordinal) is true ? text[side.Length..] : text);
    }

    private static string Parts(Observation observation)
    {
        var parts = observation.Component.Select(part => $"{part.Code?.Text}: {(part.DataAbsentReason is { } absent ? Lower(absent.Text) : Of(part.Value))}").ToList();
        return parts.Count == 0 ? string.Empty : $" ({string.Join("; ", parts)})";
    }

    private static string Of(DataType? value) => value switch
    {
        CodeableConcept concept when Is(concept, Snomed.Present) => "yes",
        CodeableConcept concept when Is(concept, Snomed.Absent) => "no",
        CodeableConcept concept when concept.Coding.Exists(coding => coding.System == CodeSystems.Own("drum-visibility") && coding.Code == "not") => "none of it",
        CodeableConcept concept => Lower(concept.Text),
        Quantity quantity => Units.Words(quantity),
        FhirString text => text.Value ?? string.Empty,
        FhirDateTime date => date.Value?.Contains('T', StringComparison.Ordinal) is true && date.TryToDateTimeOffset(out var instant) ? Instant(instant) : date.Value ?? string.Empty,
        FhirBoolean flag => flag.Value is true ? "yes" : "no",
        _ => "not recorded",
    };

    private static bool Is(CodeableConcept concept, Term term) => concept.Coding.Exists(coding => coding.System == term.System && coding.Code == term.Code);

    private static string Lower(string? text) => string.IsNullOrEmpty(text)
        ? "not recorded"
        : Array.Exists(ProperNames, name => text.StartsWith(name, StringComparison.Ordinal)) ? text : char.ToLowerInvariant(text[0]) + text[1..];
}
