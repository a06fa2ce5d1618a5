using EarReferral.Encounters;
using EarReferral.Mapping.Codes;
using EarReferral.Mapping.Identity;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Record;

/// <summary>One encounter to its record resources; pure, so the same encounter and identity always give the same resources.</summary>
public static class RecordMapper
{
    /// <summary>Maps an encounter that was read without problems.</summary>
    /// <param name="encounter">The encounter.</param>
    /// <param name="identity">Identities kept for it.</param>
    /// <param name="context">What configuration adds.</param>
    public static EncounterRecord Map(ClinicEncounter encounter, EncounterIdentity identity, MappingContext context)
    {
        var clinic = PeopleMapper.Clinic(encounter.Clinic, identity);
        var gp = encounter.Patient.GpPractice is { } practice ? ResourceStamp.OrganizationByOds(practice.OdsCode, practice.Name, identity) : null;
        var practitioner = PeopleMapper.Practitioner(encounter.Practitioner, encounter.Clinic.Id, identity);
        var role = PeopleMapper.Role(encounter, practitioner, clinic, identity);
        var patient = PeopleMapper.Patient(encounter, clinic, gp, identity);
        var visit = Visit(encounter, patient, role, clinic, identity);
        var frame = new ObservationFrame(identity, patient, visit, role, encounter);
        var ears = encounter.Ears.OrderBy(ear => ear.Side).ToList();
        var procedures = new SortedDictionary<EarSide, Procedure>();
        foreach (var ear in ears.Where(ProcedureMapper.WasPlanned))
        {
            procedures.Add(ear.Side, ProcedureMapper.Map(encounter, ear, patient, visit, role, identity, context));
        }

        ProcedureMapper.AddPatientComplications(encounter.Complications, procedures);
        List<Observation> observations =
        [
            .. FindingMapper.Patient(encounter, frame),
            .. ears.SelectMany(ear => FindingMapper.Ear(encounter, ear, frame)
                .Concat(DepositMapper.Map(encounter, ear, frame))
                .Concat(StepMapper.Map(encounter, ear, procedures.GetValueOrDefault(ear.Side), frame))
                .Concat(AudiogramMapper.Map(encounter, ear, frame))),
        ];
        var media = encounter.Images.Select(image => MediaMapper.Map(image, patient, visit, role, identity)).ToList();
        return new EncounterRecord(patient, practitioner, role, clinic, gp, visit, procedures, observations, media, ConsentMapper.Map(encounter.Consent, identity, patient, clinic, gp, context.Language), context.Language);
    }

    private static Encounter Visit(ClinicEncounter encounter, Patient patient, Hl7.Fhir.Model.PractitionerRole role, Organization clinic, EncounterIdentity identity)
    {
        var visit = ResourceStamp.Stamp(new Encounter(), identity.Resource("encounter"), "ear-encounter");
        visit.Identifier = [ResourceStamp.Own(visit), new Identifier(Canonicals.ClinicNumbers(encounter.Clinic.Id, "encounter"), encounter.EncounterId)];
        visit.Status = encounter.Status switch
        {
            Encounters.EncounterStatus.Finished => Encounter.EncounterStatus.Finished,
            Encounters.EncounterStatus.InProgress => Encounter.EncounterStatus.InProgress,
        };
        visit.Class = Hl7Codes.Ambulatory.Coding();
        visit.Subject = ResourceStamp.To(patient);
        visit.Participant =
        [
            new Encounter.ParticipantComponent { Type = [Hl7Codes.PrimaryPerformer.Concept()], Individual = ResourceStamp.To(role) },
        ];
        visit.Period = ResourceStamp.Between(encounter.Period.Start, encounter.Period.End);
        visit.ReasonCode = encounter.ReasonForVisit is { } reason ? [new CodeableConcept { Text = reason }] : [];
        visit.ServiceProvider = ResourceStamp.To(clinic);
        return visit;
    }
}
