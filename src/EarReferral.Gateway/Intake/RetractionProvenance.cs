using System.Globalization;
using EarReferral.Mapping.Codes;
using EarReferral.Mapping.Identity;
using EarReferral.Storage.Encounters;
using Hl7.Fhir.Model;

namespace EarReferral.Gateway.Intake;

/// <summary>Who took a record back, when and why. The store adds what was marked as its targets.</summary>
internal static class RetractionProvenance
{
    private const string Profile = "https://ear-referral.example/fhir/StructureDefinition/ear-provenance";

    /// <summary>v3 DataOperation: the content is to be treated as if it had never been (HL7 terminology, code NULLIFY).</summary>
    private const string Operations = "http://terminology.hl7.org/CodeSystem/v3-DataOperation";

    /// <summary>The provenance of a retraction, without targets.</summary>
    /// <param name="current">The revision that is retracted.</param>
    /// <param name="retraction">The retraction; it has no problems.</param>
    /// <param name="sha256">Hash of the bytes that are kept of it.</param>
    /// <param name="recorded">When the gateway took it.</param>
    public static Provenance Make(StoredEncounter current, Retraction retraction, string sha256, DateTimeOffset recorded)
    {
        var id = EncounterIdentity.NameBased(current.EncounterKey, string.Create(CultureInfo.InvariantCulture, $"provenance/{current.Revision + 1}")).ToString();
        return new Provenance
        {
            Id = id,
            Meta = new Meta { Profile = [Profile] },
            Occurred = new FhirDateTime(recorded),
            Recorded = recorded,
            Activity = new CodeableConcept(Operations, "NULLIFY", "nullify", null),
            Reason = [new CodeableConcept { Text = $"{retraction.Reason}: {retraction.Text}" }],
            Agent =
            [
                new Provenance.AgentComponent { Type = Hl7Codes.Author.Concept(), Who = new ResourceReference { Display = retraction.Person } },
                new Provenance.AgentComponent
                {
                    Type = Hl7Codes.Assembler.Concept(),
                    Who = new ResourceReference { Identifier = new Identifier(Canonicals.Software, "gateway"), Display = "Ear referral gateway" },
                },
            ],
            Entity =
            [
                new Provenance.EntityComponent
                {
                    Role = Provenance.ProvenanceEntityRole.Source,
                    What = new ResourceReference { Identifier = new Identifier(Canonicals.ContentHash, sha256), Display = "Posted retraction, SHA-256 of what is kept of it" },
                },
            ],
        };
    }
}
