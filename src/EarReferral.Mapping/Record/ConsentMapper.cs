using EarReferral.Encounters;
using EarReferral.Mapping.Codes;
using EarReferral.Mapping.Identity;
using EarReferral.Mapping.Narrative;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Record;

/// <summary>One Consent for every use that the patient agreed to or refused. What was not asked or not recorded gives none: not asked is never no.</summary>
internal static class ConsentMapper
{
    private const string Permit = "agreed";
    private const string Deny = "refused";

    public static IReadOnlyList<Consent> Map(ConsentRecord consent, EncounterIdentity identity, Patient patient, Organization clinic, Organization? gp, string language)
    {
        (Term Use, Answer? Answer, Term Scope, Organization? Recipient)[] uses =
        [
            (LocalCodes.ConsentTreatment, consent.Treatment, Hl7Codes.TreatmentConsent, null),
            (LocalCodes.ConsentRecordingImages, consent.RecordingImages, Hl7Codes.PrivacyConsent, null),
            (LocalCodes.ConsentSharingWithGp, consent.SharingWithGp, Hl7Codes.PrivacyConsent, gp),
            (LocalCodes.ConsentSharingWithEnt, consent.SharingWithEnt, Hl7Codes.PrivacyConsent, null),
            (LocalCodes.ConsentUseBeyondCare, consent.UseBeyondCare, Hl7Codes.PrivacyConsent, null),
        ];
        return
        [
            .. uses.Where(use => use.Answer is Answer.Yes or Answer.No).Select(use =>
            {
                var isAgreed = use.Answer == Answer.Yes;
                var made = ResourceStamp.Stamp(new Consent(), identity.Resource($"consent/{use.Use.Code}"), "ear-consent");
                made.Identifier = [ResourceStamp.Own(made)];
                made.Status = Consent.ConsentState.Active;
                made.Scope = use.Scope.Concept();
                made.Category = [new CodeableConcept { Coding = [Loinc.PatientConsent.Coding(), use.Use.Coding()], Text = use.Use.Display }];
                made.Patient = ResourceStamp.To(patient);
                made.DateTimeElement = consent.At is { } at ? ResourceStamp.At(at) : null;
                made.Organization = [ResourceStamp.To(clinic)];
                made.PolicyRule = new CodeableConcept { Text = "As the clinician recorded the patient's answer" };
                made.Provision = new Consent.provisionComponent
                {
                    Type = isAgreed ? Consent.ConsentProvisionType.Permit : Consent.ConsentProvisionType.Deny,
                    Actor = use.Recipient is { } recipient
                        ? [new Consent.provisionActorComponent { Role = Hl7Codes.InformationRecipient.Concept(), Reference = ResourceStamp.To(recipient) }]
                        : [],
                };
                made.Text = new Xhtml(language).Paragraph($"{use.Use.Display}: {(isAgreed ? Permit : Deny)}.").List(Details(consent, use.Use)).Generated();
                return made;
            }),
        ];
    }

    /// <summary>How it was asked, for which R4 has no element.</summary>
    private static List<string> Details(ConsentRecord consent, Term use)
    {
        List<string> details = [];
        if (consent.GivenBy is { } words)
        {
            details.Add($"Answered by: {words}");
        }

        if (use == LocalCodes.ConsentTreatment)
        {
            if (consent.Form is { } form)
            {
                details.Add($"Form: {CodeSystems.Words(form)}");
            }

            if (consent.RisksExplained is Answer.Yes or Answer.No)
            {
                details.Add(consent.RisksExplained == Answer.Yes ? "Risks were explained before" : "Risks were not explained before");
            }
        }

        return details;
    }
}
