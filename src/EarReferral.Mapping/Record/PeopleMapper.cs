using System.Globalization;
using EarReferral.Encounters;
using EarReferral.Encounters.Findings;
using EarReferral.Mapping.Codes;
using EarReferral.Mapping.Identity;
using Hl7.Fhir.Model;
using FhirGender = Hl7.Fhir.Model.AdministrativeGender;
using FhirRole = Hl7.Fhir.Model.PractitionerRole;

namespace EarReferral.Mapping.Record;

/// <summary>The people and organisations of a visit.</summary>
internal static class PeopleMapper
{
    public static Organization Clinic(Clinic clinic, EncounterIdentity identity)
    {
        var organization = ResourceStamp.Stamp(new Organization(), Id(identity.Clinic, "organization"), "ear-organization");
        organization.Identifier = [ResourceStamp.Own(organization)];
        if (clinic.OdsCode is { } ods)
        {
            organization.Identifier.Add(new Identifier(Canonicals.OdsCode, ods.ToUpperInvariant()));
        }

        organization.Active = true;
        organization.Name = clinic.Name;
        if (clinic.Telephone is { } telephone)
        {
            organization.Telecom = [new ContactPoint(ContactPoint.ContactPointSystem.Phone, ContactPoint.ContactPointUse.Work, telephone)];
        }

        return organization;
    }

    public static Practitioner Practitioner(ClinicPractitioner clinician, string clinicId, EncounterIdentity identity)
    {
        var practitioner = ResourceStamp.Stamp(new Practitioner(), Id(identity.Practitioner, "practitioner"), "ear-practitioner");
        practitioner.Identifier = [ResourceStamp.Own(practitioner), new Identifier(Canonicals.ClinicNumbers(clinicId, "practitioner"), clinician.Id)];
        if (clinician.Registration is { } registration)
        {
            practitioner.Identifier.Add(new Identifier(Register(registration.Body), registration.Number));
        }

        practitioner.Active = true;
        practitioner.Name = [Name(clinician.Name)];
        return practitioner;
    }

    public static FhirRole Role(ClinicEncounter encounter, Practitioner practitioner, Organization clinic, EncounterIdentity identity)
    {
        // The role at the time of the visit has its own id, so a later change of role does not rewrite an earlier visit.
        var kind = encounter.Practitioner.Role;
        var role = ResourceStamp.Stamp(new FhirRole(), Id(identity.Practitioner, $"practitioner-role/{Naming.Code(kind)}"), "ear-practitioner-role");
        role.Identifier = [ResourceStamp.Own(role)];
        role.Active = true;
        role.Practitioner = ResourceStamp.To(practitioner);
        role.Organization = ResourceStamp.To(clinic);
        role.Code = [RoleTerm(kind)?.With(CodeSystems.Coding(kind), CodeSystems.Words(kind)) ?? CodeSystems.Concept(kind)];
        if (encounter.Clinic.Telephone is { } telephone)
        {
            role.Telecom = [new ContactPoint(ContactPoint.ContactPointSystem.Phone, ContactPoint.ContactPointUse.Work, telephone)];
        }

        return role;
    }

    public static Patient Patient(ClinicEncounter encounter, Organization clinic, Organization? gp, EncounterIdentity identity)
    {
        var person = encounter.Patient;
        var patient = ResourceStamp.Stamp(new Patient(), Id(identity.Patient, "patient"), "ear-patient");
        patient.Identifier = [ResourceStamp.Own(patient), new Identifier(Canonicals.ClinicNumbers(encounter.Clinic.Id, "patient"), person.Id)];
        if (person.NhsNumber is { } nhs)
        {
            patient.Identifier.Insert(0, NhsNumber(nhs));
        }

        if (person.NhsNumberAbsentReason is { } reason)
        {
            patient.Extension.Add(new Extension(
                Canonicals.NhsNumberUnavailableReason,
                new CodeableConcept(Canonicals.NhsNumberUnavailableReasonCodes, Naming.Code(reason), CodeSystems.Words(reason))));
        }

        patient.Active = true;
        patient.Name = [Name(person.Name)];
        patient.Gender = person.Gender switch
        {
            Encounters.AdministrativeGender.Male => FhirGender.Male,
            Encounters.AdministrativeGender.Female => FhirGender.Female,
            Encounters.AdministrativeGender.Other => FhirGender.Other,
            Encounters.AdministrativeGender.Unknown => FhirGender.Unknown,
        };
        patient.BirthDate = person.BirthDate.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
        patient.Address = person.Address is { } address
            ? [new Address { Use = Address.AddressUse.Home, Line = [.. address.Lines], City = address.Town, PostalCode = address.PostalCode }]
            : [];
        patient.ManagingOrganization = ResourceStamp.To(clinic);
        patient.GeneralPractitioner = gp is null ? [] : [ResourceStamp.To(gp)];
        Reach(patient, encounter.Reaching);
        return patient;
    }

    private static void Reach(Patient patient, ReachingPatient? reaching)
    {
        if (reaching is null)
        {
            return;
        }

        if (reaching.Telephone is { } telephone)
        {
            // Somebody who cannot hear on a telephone may still get text messages there, so the number is never marked for calls.
            var system = reaching.Preferred is ContactPreference.TextMessage || reaching.HearsOnTelephone is Answer.No
                ? ContactPoint.ContactPointSystem.Sms
                : ContactPoint.ContactPointSystem.Phone;
            patient.Telecom.Add(new ContactPoint(system, null, telephone)
            {
                Rank = reaching.Preferred is ContactPreference.Telephone or ContactPreference.TextMessage && !(reaching.Preferred is ContactPreference.Telephone && reaching.HearsOnTelephone is Answer.No) ? 1 : null,
            });
        }

        if (reaching.Email is { } email)
        {
            patient.Telecom.Add(new ContactPoint(ContactPoint.ContactPointSystem.Email, null, email)
            {
                Rank = reaching.Preferred is ContactPreference.Email ? 1 : null,
            });
        }

        if (reaching.Language is { } language)
        {
            patient.Communication.Add(new Patient.CommunicationComponent
            {
                Language = new CodeableConcept { Coding = [new Coding(Hl7Codes.LanguageTags, language)], Text = language },
                Preferred = true,
            });
        }

        // Not asked stays without a value: false would say that no interpreter is needed.
        if (reaching.InterpreterNeeded is Answer.Yes or Answer.No)
        {
            patient.Extension.Add(new Extension(Canonicals.InterpreterRequired, new FhirBoolean(reaching.InterpreterNeeded is Answer.Yes)));
        }

        if (reaching.Carer is { } carer)
        {
            patient.Contact.Add(new Patient.ContactComponent
            {
                Relationship = [new CodeableConcept { Text = "Carer or helper" }],
                Name = new HumanName { Text = carer },
            });
        }
    }

    private static Identifier NhsNumber(NhsNumber nhs)
    {
        var identifier = new Identifier(Canonicals.NhsNumber, nhs.Value.Replace(" ", string.Empty, StringComparison.Ordinal));
        identifier.Extension.Add(new Extension(
            Canonicals.NhsNumberVerificationStatus,
            new CodeableConcept(Canonicals.NhsNumberVerificationStatusCodes, Naming.Code(nhs.Verification), CodeSystems.Words(nhs.Verification))));
        return identifier;
    }

    private static HumanName Name(PersonName name) => new()
    {
        Use = HumanName.NameUse.Official,
        Text = string.Join(' ', new[] { name.Prefix }.Concat(name.Given).Append(name.Family).OfType<string>()),
        Family = name.Family,
        Given = [.. name.Given],
        Prefix = name.Prefix is { } prefix ? [prefix] : [],
    };

    private static string Register(RegistrationBody body) => body switch
    {
        RegistrationBody.Gmc => Canonicals.GmcNumber,
        RegistrationBody.Nmc => Canonicals.NmcNumber,
        RegistrationBody.Gphc => Canonicals.GphcNumber,
        RegistrationBody.Hcpc => Canonicals.HcpcNumber,
        RegistrationBody.Other => Canonicals.OtherRegistration,
    };

    private static Term? RoleTerm(Encounters.PractitionerRole role) => role is Encounters.PractitionerRole.Doctor ? Hl7Codes.Doctor : ListTerms.Of(role);

    private static string Id(Guid space, string role) => EncounterIdentity.NameBased(space, role).ToString();
}
