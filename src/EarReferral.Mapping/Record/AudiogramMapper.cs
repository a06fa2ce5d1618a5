using System.Globalization;
using EarReferral.Encounters;
using EarReferral.Encounters.Findings;
using EarReferral.Mapping.Codes;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Record;

/// <summary>Pure-tone thresholds, one Observation each.</summary>
internal static class AudiogramMapper
{
    public static IEnumerable<Observation> Map(ClinicEncounter encounter, EarExamination ear, ObservationFrame frame) =>
        ear.Audiogram is not { } audiogram
            ? []
            : audiogram.Thresholds.Select(threshold => Map(threshold, ear.Side, new FhirDateTime(audiogram.MeasuredOn.ToString()), false, encounter, frame))
                .Concat(audiogram.EarlierThresholds.Select(threshold => Map(threshold, ear.Side, null, true, encounter, frame)));

    private static Observation Map(Threshold threshold, EarSide side, FhirDateTime? measured, bool earlier, ClinicEncounter encounter, ObservationFrame frame)
    {
        var key = string.Create(
            CultureInfo.InvariantCulture,
            $"{ResourceStamp.Key(side)}/threshold/{(earlier ? "earlier" : "current")}/{Naming.Code(threshold.Conduction)}/{threshold.FrequencyHz}");
        var observation = frame.New(key, Code(threshold, side, earlier), side, encounter.Period.Start);

        // The contract gives no date for the audiogram that is compared with, and a made-up one would be worse than none.
        observation.Effective = measured ?? new FhirDateTime { Extension = [new Extension(Canonicals.DataAbsentReason, new Code(Hl7Codes.Unknown.Code))] };
        if (threshold.DecibelsHearingLevel is { } level)
        {
            observation.Value = Units.HearingLevel(level);
        }
        else
        {
            observation.DataAbsentReason = threshold.NoResponse ? Hl7Codes.Unknown.Concept(LocalCodes.NoResponse.Display) : Hl7Codes.NotPerformed.Concept();
        }

        observation.Component =
        [
            new Observation.ComponentComponent
            {
                Code = LocalCodes.Frequency.Concept(),
                Value = new Quantity { Value = threshold.FrequencyHz, Unit = Units.Hertz, System = CodeSystems.Ucum, Code = Units.Hertz },
            },
            new Observation.ComponentComponent { Code = LocalCodes.Conduction.Concept(), Value = CodeSystems.Concept(threshold.Conduction) },
            new Observation.ComponentComponent { Code = LocalCodes.Masked.Concept(), Value = new FhirBoolean(threshold.Masked) },
            .. threshold.NoResponse
                ? [new Observation.ComponentComponent { Code = LocalCodes.NoResponse.Concept(), Value = new FhirBoolean(true) }]
                : Array.Empty<Observation.ComponentComponent>(),
        ];
        return observation;
    }

    private static CodeableConcept Code(Threshold threshold, EarSide side, bool earlier)
    {
        var text = string.Create(
            CultureInfo.InvariantCulture,
            $"{(earlier ? "Earlier hearing threshold" : "Hearing threshold")}, {BodySites.Words(side).ToLowerInvariant()}, {CodeSystems.Words(threshold.Conduction)} conduction, {threshold.FrequencyHz} Hz");
        var local = (earlier ? LocalCodes.EarlierThreshold : LocalCodes.Threshold).Coding();
        return threshold.Conduction is Conduction.Air && Loinc.AirThreshold(side, threshold.FrequencyHz) is { } loinc
            ? loinc.With(local, text)
            : new CodeableConcept { Coding = [local], Text = text };
    }
}
