using EarReferral.Encounters;
using EarReferral.Encounters.Findings;
using EarReferral.Mapping.Codes;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Record;

/// <summary>One Observation for every finding that the encounter states, expressly unknown ones included.</summary>
internal static class FindingMapper
{
    private static readonly string[] KnownAtTheEnd = ["hearing-after", "outcome-", "complications-", "patient-complications-", "movement-", "advice-"];

    public static IEnumerable<Observation> Patient(ClinicEncounter encounter, ObservationFrame frame) =>
        FindingCatalogue.Patient.SelectMany(finding => Map(finding, encounter, frame, Local(encounter, finding.Code, null, null), "patient", null, At(finding.Code, encounter.Period.Start, encounter.Period.End ?? encounter.EvaluationInstant)));

    public static IEnumerable<Observation> Ear(ClinicEncounter encounter, EarExamination ear, ObservationFrame frame)
    {
        var side = ResourceStamp.Key(ear.Side);
        var start = ear.Before.At ?? encounter.Period.Start;
        var end = ear.After?.At ?? encounter.Period.End ?? encounter.EvaluationInstant;
        foreach (var observation in FindingCatalogue.Ear.SelectMany(finding => Map(finding, ear, frame, Local(encounter, finding.Code, ear, null), side, ear.Side, At(finding.Code, start, end))))
        {
            yield return observation;
        }

        foreach (var observation in Look(ear.Before, LocalCodes.Before, start, frame, encounter, ear))
        {
            yield return observation;
        }

        if (ear.After is { } after)
        {
            foreach (var observation in Look(after, LocalCodes.After, end, frame, encounter, ear))
            {
                yield return observation;
            }
        }
    }

    /// <summary>Result, complications, movement and advice exist only once the work is over; everything else was so from the start.</summary>
    private static DateTimeOffset At(string code, DateTimeOffset start, DateTimeOffset end) =>
        Array.Exists(KnownAtTheEnd, prefix => code.StartsWith(prefix, StringComparison.Ordinal)) ? end : start;

    private static IEnumerable<Observation> Look(Otoscopy look, Term moment, DateTimeOffset at, ObservationFrame frame, ClinicEncounter encounter, EarExamination ear)
    {
        var located = (look.Canal?.Sites ?? []).Select(site => ($"canal-{Naming.Kebab(site.Sign)}", site.At))
            .Concat(look.Drum.Sites.Select(site => ($"drum-{Naming.Kebab(site.Sign)}", site.At)))
            .ToLookup(site => site.Item1, site => site.At, StringComparer.Ordinal);
        foreach (var finding in FindingCatalogue.Otoscopy)
        {
            foreach (var observation in Map(finding, look, frame, Local(encounter, finding.Code, ear, moment == LocalCodes.After), $"{ResourceStamp.Key(ear.Side)}/{moment.Code}", ear.Side, at))
            {
                observation.Category.Add(moment.Concept());
                observation.Component.AddRange(located[finding.Code].SelectMany(BodySites.Components));
                yield return observation;
            }
        }
    }

    /// <summary>The clinic's own code for the finding, as a coding that a person chose.</summary>
    private static LocalCoding? Local(ClinicEncounter encounter, string finding, EarExamination? ear, bool? isAfter) =>
        encounter.Vocabulary is { } use
        && use.Codes.FirstOrDefault(code => code.Finding == finding && code.IsAfter == isAfter && (code.Ear is { } index ? encounter.Ears[index] : null) == ear) is { } local
            ? new LocalCoding(new Coding(use.System, local.Code, local.Display) { Version = use.Version, UserSelected = true }, IsKeptAsText: local.Translated is null)
            : null;

    private static IEnumerable<Observation> Map<TSubject>(Finding<TSubject> finding, TSubject subject, ObservationFrame frame, LocalCoding? own, string key, EarSide? side, DateTimeOffset at)
    {
        if (finding.Read(subject) is not { } value)
        {
            if (own is { IsKeptAsText: true })
            {
                var kept = frame.New($"{key}/{finding.Code}", new CodeableConcept { Coding = [LocalCodes.Finding(finding.Code, finding.Display)], Text = finding.Display }, side, at);
                kept.Value = new CodeableConcept { Coding = [own.Coding], Text = own.Coding.Display ?? own.Coding.Code };
                yield return kept;
            }

            yield break;
        }

        var local = LocalCodes.Finding(finding.Code, finding.Display);

        // A reader that indexes codes alone would list a denied diabetes as diabetes, so the published concept stands only where it holds.
        var code = value is FindingValue.Present && FindingTerms.Of(finding.Code) is { } term
            ? new CodeableConcept { Coding = [local, term.Coding()], Text = finding.Display }
            : new CodeableConcept { Coding = [local], Text = finding.Display };
        var observation = frame.New($"{key}/{finding.Code}", code, side, at);
        ObservationFrame.Fill(observation, value);
        frame.MarkScreened(observation, side, finding.Code);
        if (finding.Kind is FindingKind.Sign && value is FindingValue.Unknown { Reason: UnknownReason.NotSeen })
        {
            observation.DataAbsentReason!.Text = "Not seen";
        }

        if (own is not null && observation.Value is CodeableConcept translated)
        {
            // Ours comes first: a reader that takes one coding takes that.
            translated.Coding.Add(own.Coding);
        }

        yield return observation;
    }

    /// <summary>A clinic's own code as a coding.</summary>
    /// <param name="Coding">The coding.</param>
    /// <param name="IsKeptAsText">True where no code of the contract says the same.</param>
    private sealed record LocalCoding(Coding Coding, bool IsKeptAsText);
}
