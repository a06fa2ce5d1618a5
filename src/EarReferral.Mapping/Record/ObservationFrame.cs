using System.Globalization;
using EarReferral.Encounters;
using EarReferral.Encounters.Findings;
using EarReferral.Mapping.Codes;
using EarReferral.Mapping.Identity;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Record;

/// <summary>What all observations of one encounter share: subject, encounter, performer, status and ids.</summary>
internal sealed class ObservationFrame(EncounterIdentity identity, Patient patient, Encounter encounter, Hl7.Fhir.Model.PractitionerRole role, ClinicEncounter told)
{
    private readonly HashSet<(EarSide? Side, string Code)> screened = [.. told.AnsweredByScreen.Select(answer => (answer.Side, answer.Code))];

    /// <param name="key">Rest of the role that the id is made from, unique within the encounter.</param>
    /// <param name="code">What was observed.</param>
    /// <param name="side">Ear, or null for the whole patient.</param>
    /// <param name="at">When it held.</param>
    public Observation New(string key, CodeableConcept code, EarSide? side, DateTimeOffset at)
    {
        var observation = ResourceStamp.Stamp(new Observation(), identity.Resource($"observation/{key}"), "ear-observation");
        observation.Identifier = [ResourceStamp.Own(observation)];
        observation.Status = told.Status switch
        {
            EncounterStatus.Finished => ObservationStatus.Final,
            EncounterStatus.InProgress => ObservationStatus.Preliminary,
        };
        observation.Category = [Hl7Codes.Exam.Concept()];
        observation.Code = code;
        observation.Subject = ResourceStamp.To(patient);
        observation.Encounter = ResourceStamp.To(encounter);
        observation.Effective = ResourceStamp.At(at);
        observation.Performer = [ResourceStamp.To(role)];
        observation.BodySite = side is { } ear ? BodySites.Of(ear) : null;
        return observation;
    }

    /// <summary>Says so where a screen answered the finding as one of a group: by which, by whom and when.</summary>
    public void MarkScreened(Observation observation, EarSide? side, string code)
    {
        if (!screened.Contains((side, code)))
        {
            return;
        }

        var screening = told.Screening!;
        observation.Method = new CodeableConcept
        {
            Text = string.Create(CultureInfo.InvariantCulture, $"Answered as part of a screen: {CodeSystems.Words(screening.Screen)}, version {screening.Version}, none of these; {screening.Person}"),
        };
        observation.Effective = ResourceStamp.At(screening.At);
    }

    /// <summary>Puts a value in, or why there is none; never a negative in place of an unknown.</summary>
    public static void Fill(Observation observation, FindingValue value)
    {
        observation.Value = Value(value);
        observation.DataAbsentReason = value is FindingValue.Unknown unknown ? Reason(unknown.Reason) : null;
    }

    private static DataType? Value(FindingValue value) => value switch
    {
        FindingValue.Present => Snomed.Present.Concept(),
        FindingValue.Absent => Snomed.Absent.Concept(),
        FindingValue.Unknown => null,
        FindingValue.Coded coded => new CodeableConcept
        {
            Coding = [new Coding(CodeSystems.Own(coded.List), coded.Code, coded.Code.Replace('-', ' '))],
            Text = coded.Code.Replace('-', ' '),
        },
        FindingValue.OnDate on => new FhirDateTime(on.Date.ToString()),
        FindingValue.At at => ResourceStamp.At(at.Instant),
        FindingValue.Measured measured => Units.Quantity(measured.Value, measured.Ucum),
        FindingValue.Said said => new FhirString(said.Text),
        _ => throw new ArgumentOutOfRangeException(nameof(value), value.GetType().Name, "A kind of finding value that the mapping does not know."),
    };

    private static CodeableConcept Reason(UnknownReason reason) => reason switch
    {
        UnknownReason.NotAsked => Hl7Codes.NotAsked.Concept("Not asked"),
        UnknownReason.NotSeen => Hl7Codes.NotPerformed.Concept("Not seen or not done"),
        UnknownReason.NotKnown => Hl7Codes.Unknown.Concept("Asked or looked for, and not known"),
    };
}
