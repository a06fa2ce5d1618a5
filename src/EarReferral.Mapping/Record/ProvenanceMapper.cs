using EarReferral.Encounters;
using EarReferral.Mapping.Codes;
using EarReferral.Mapping.Identity;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Record;

/// <summary>Where the resources come from: who wrote the encounter, who assembled the resources, and the hash of the bytes that were posted.</summary>
public static class ProvenanceMapper
{
    /// <summary>Maps the provenance of one revision.</summary>
    /// <param name="record">The record.</param>
    /// <param name="made">What was made besides: request, task, conditions, composition.</param>
    /// <param name="sha256">SHA-256 of the posted bytes, lower-case hexadecimal.</param>
    /// <param name="recorded">When the gateway took the encounter in.</param>
    /// <param name="revision">Revision of the encounter; each has its own provenance.</param>
    /// <param name="identity">Identities kept for the encounter.</param>
    /// <param name="vocabulary">The clinic's code list that the encounter was written in, where it was.</param>
    public static Hl7.Fhir.Model.Provenance Map(EncounterRecord record, IReadOnlyList<Resource> made, string sha256, DateTimeOffset recorded, int revision, EncounterIdentity identity, VocabularyUse? vocabulary = null)
    {
        var provenance = ResourceStamp.Stamp(
            new Hl7.Fhir.Model.Provenance(),
            identity.Resource(string.Create(System.Globalization.CultureInfo.InvariantCulture, $"provenance/{revision}")),
            "ear-provenance");
        provenance.Target =
        [
            ResourceStamp.To(record.Encounter),
            .. record.Procedures.Values.Select(ResourceStamp.To),
            .. record.Observations.Select(ResourceStamp.To),
            .. made.Where(resource => resource is ServiceRequest or Hl7.Fhir.Model.Task or Condition or Composition).Select(ResourceStamp.To),
        ];
        provenance.Occurred = ResourceStamp.Between(record.Encounter.Period?.StartElement?.ToDateTimeOffset(TimeSpan.Zero) ?? recorded, null);
        provenance.Recorded = recorded;
        provenance.Agent =
        [
            new Hl7.Fhir.Model.Provenance.AgentComponent { Type = Hl7Codes.Author.Concept(), Who = ResourceStamp.To(record.Role), OnBehalfOf = ResourceStamp.To(record.Clinic) },
            new Hl7.Fhir.Model.Provenance.AgentComponent
            {
                Type = Hl7Codes.Assembler.Concept(),
                Who = new ResourceReference { Identifier = new Identifier(Canonicals.Software, "gateway"), Display = "Ear referral gateway" },
            },
        ];
        provenance.Entity =
        [
            new Hl7.Fhir.Model.Provenance.EntityComponent
            {
                Role = Hl7.Fhir.Model.Provenance.ProvenanceEntityRole.Source,
                What = new ResourceReference { Identifier = new Identifier(Canonicals.ContentHash, sha256), Display = "Posted encounter, SHA-256 of its bytes" },
            },
        ];
        if (vocabulary is not null)
        {
            provenance.Entity.Add(new Hl7.Fhir.Model.Provenance.EntityComponent
            {
                Role = Hl7.Fhir.Model.Provenance.ProvenanceEntityRole.Source,
                What = new ResourceReference { Identifier = new Identifier(vocabulary.System, vocabulary.Version), Display = "The clinic's own code list, with its version; its concept maps translated it" },
            });
        }

        return provenance;
    }
}
