using System.Globalization;
using EarReferral.Triage.Decisions;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Narrative;

/// <summary>Values in words for people.</summary>
internal static class Words
{
    /// <summary>An instant as the clinic's wall clock shows it, with its offset.</summary>
    public static string Instant(DateTimeOffset instant) => instant.ToString("yyyy-MM-dd HH:mm '(UTC'zzz')'", CultureInfo.InvariantCulture);

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
        var parts = observation.Component.Select(part => $"{part.Code?.Text}: {(part.DataAbsentReason is { } absent ? Lower(absent.Text) : Of(part.Value))}").ToList();
        var line = $"{observation.Code?.Text}: {value}";
        return parts.Count == 0 ? line : $"{line} ({string.Join("; ", parts)})";
    }

    private static string Of(DataType? value) => value switch
    {
        CodeableConcept concept => Lower(concept.Text),
        Quantity quantity => FormattableString.Invariant($"{quantity.Value:0.#####} {quantity.Unit}").TrimEnd(),
        FhirString text => text.Value ?? string.Empty,
        FhirDateTime date => date.Value ?? string.Empty,
        FhirBoolean flag => flag.Value is true ? "yes" : "no",
        _ => "not recorded",
    };

    private static string Lower(string? text) => string.IsNullOrEmpty(text) ? "not recorded" : char.ToLowerInvariant(text[0]) + text[1..];
}
