using System.Globalization;
using Hl7.Fhir.Model;

namespace EarReferral.Summary.Findings;

/// <summary>Reads the pure-tone thresholds of one ear from the Observations of a record.</summary>
public static class AudiogramReader
{
    private const string ConductionSystem = "https://ear-referral.example/fhir/CodeSystem/conduction";

    /// <summary>The audiogram; without thresholds when there is none.</summary>
    /// <param name="record">The resources of one encounter, in any order.</param>
    /// <param name="side">The patient's side.</param>
    public static Audiogram Read(IEnumerable<Resource> record, EarSide side)
    {
        ArgumentNullException.ThrowIfNull(record);
        var all = record.OfType<Observation>().Where(observation => observation.Status is not ObservationStatus.EnteredInError && EarViewReader.IsOf(observation, side)).ToList();
        var current = all.Where(observation => EarViewReader.Code(observation) is FindingCodes.Threshold).ToList();
        return new Audiogram(
            side,
            current.Select(observation => (observation.Effective as FhirDateTime)?.Value).FirstOrDefault(date => date is not null),
            [.. current.Select(Threshold).OfType<PlottedThreshold>().OrderBy(threshold => threshold.IsBone).ThenBy(threshold => threshold.FrequencyHz)],
            [.. all.Where(observation => EarViewReader.Code(observation) is FindingCodes.EarlierThreshold).Select(Threshold).OfType<PlottedThreshold>()
                .OrderBy(threshold => threshold.IsBone).ThenBy(threshold => threshold.FrequencyHz).Select(Words)]);
    }

    /// <summary>One threshold in words.</summary>
    internal static string Words(PlottedThreshold threshold) => string.Create(
        CultureInfo.InvariantCulture,
        $"{threshold.FrequencyHz} Hz {(threshold.Level is { } level ? $"{level} dB HL" : threshold.HasNoResponse ? "no response" : "not measured")}{(threshold.IsMasked ? " masked" : string.Empty)}");

    private static PlottedThreshold? Threshold(Observation observation)
    {
        DataType? Part(string code) => observation.Component.Find(component => EarViewReader.CodeIn(component.Code, FindingCodes.Finding) == code)?.Value;
        return Part(FindingCodes.ThresholdFrequency) is Quantity { Value: { } frequency }
            ? new PlottedThreshold(
                (int)frequency,
                (observation.Value as Quantity)?.Value,
                EarViewReader.CodeIn(Part(FindingCodes.ThresholdConduction), ConductionSystem) == "bone",
                Part(FindingCodes.ThresholdMasked) is FhirBoolean { Value: true },
                Part(FindingCodes.ThresholdNoResponse) is FhirBoolean { Value: true })
            : null;
    }
}
