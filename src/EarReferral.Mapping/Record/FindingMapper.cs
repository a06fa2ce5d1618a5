using EarReferral.Encounters;
using EarReferral.Encounters.Findings;
using EarReferral.Mapping.Codes;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Record;

/// <summary>One Observation for every finding that the encounter states, expressly unknown ones included.</summary>
internal static class FindingMapper
{
    public static IEnumerable<Observation> Patient(ClinicEncounter encounter, ObservationFrame frame) =>
        FindingCatalogue.Patient.SelectMany(finding => Map(finding, encounter, frame, "patient", null, encounter.Period.Start));

    public static IEnumerable<Observation> Ear(ClinicEncounter encounter, EarExamination ear, ObservationFrame frame)
    {
        var side = ResourceStamp.Key(ear.Side);
        var start = ear.Before.At ?? encounter.Period.Start;
        foreach (var observation in FindingCatalogue.Ear.SelectMany(finding => Map(finding, ear, frame, side, ear.Side, start)))
        {
            yield return observation;
        }

        foreach (var observation in Look(ear.Before, ear.Side, LocalCodes.Before, start, frame))
        {
            yield return observation;
        }

        if (ear.After is { } after)
        {
            var end = after.At ?? encounter.Period.End ?? encounter.EvaluationInstant;
            foreach (var observation in Look(after, ear.Side, LocalCodes.After, end, frame))
            {
                yield return observation;
            }
        }
    }

    private static IEnumerable<Observation> Look(Otoscopy look, EarSide side, Term moment, DateTimeOffset at, ObservationFrame frame)
    {
        var located = (look.Canal?.Sites ?? []).Select(site => ($"canal-{Naming.Kebab(site.Sign)}", site.At))
            .Concat(look.Drum.Sites.Select(site => ($"drum-{Naming.Kebab(site.Sign)}", site.At)))
            .ToLookup(site => site.Item1, site => site.At, StringComparer.Ordinal);
        foreach (var finding in FindingCatalogue.Otoscopy)
        {
            foreach (var observation in Map(finding, look, frame, $"{ResourceStamp.Key(side)}/{moment.Code}", side, at))
            {
                observation.Category.Add(moment.Concept());
                observation.Component.AddRange(located[finding.Code].SelectMany(BodySites.Components));
                yield return observation;
            }
        }
    }

    private static IEnumerable<Observation> Map<TSubject>(Finding<TSubject> finding, TSubject subject, ObservationFrame frame, string key, EarSide? side, DateTimeOffset at)
    {
        if (finding.Read(subject) is not { } value)
        {
            yield break;
        }

        var local = LocalCodes.Finding(finding.Code, finding.Display);
        var code = FindingTerms.Of(finding.Code) is { } term
            ? new CodeableConcept { Coding = [local, term.Coding()], Text = finding.Display }
            : new CodeableConcept { Coding = [local], Text = finding.Display };
        var observation = frame.New($"{key}/{finding.Code}", code, side, at);
        ObservationFrame.Fill(observation, value);
        yield return observation;
    }
}
