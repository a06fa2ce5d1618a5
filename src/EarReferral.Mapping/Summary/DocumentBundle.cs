using EarReferral.Mapping.Identity;
using EarReferral.Mapping.Record;
using EarReferral.Mapping.Referral;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Summary;

/// <summary>The summary as a FHIR R4 document: the Composition first, then everything it reaches.</summary>
public static class DocumentBundle
{
    /// <summary>Builds the document.</summary>
    /// <exception cref="InvalidOperationException">A reference points at no resource of the encounter, which is an error of the mapping.</exception>
    public static Bundle Build(EncounterRecord record, ReferralResources? referral, Composition summary) =>
        Build(summary, [.. record.Resources, .. referral?.Resources ?? []], complete: true);

    /// <summary>Literal references of a resource, in the form <c>Type/id</c>.</summary>
    public static IEnumerable<string> Targets(Resource resource) =>
        ReferenceClosure.References(resource).Select(reference => reference.Reference).OfType<string>().Distinct(StringComparer.Ordinal);

    /// <summary>Builds the document from stored resources.</summary>
    /// <param name="summary">The Composition.</param>
    /// <param name="resources">
    /// Every resource that it may reach; those it does not reach stay out. A stored Task can name what a receiver keeps, such as an output;
    /// a reference that leads to none of these resources stays as it is.
    /// </param>
    public static Bundle Build(Composition summary, IReadOnlyList<Resource> resources) => Build(summary, resources, complete: false);

    private static Bundle Build(Composition summary, IReadOnlyList<Resource> resources, bool complete)
    {
        IReadOnlyList<Resource> candidates = [summary, .. resources.Where(resource => resource.Id != summary.Id).DistinctBy(resource => resource.Id)];
        return new Bundle
        {
            Identifier = new Identifier("urn:ietf:rfc:3986", $"urn:uuid:{EncounterIdentity.NameBased(Guid.Parse(summary.Id!), "document")}"),
            Type = Bundle.BundleType.Document,
            Timestamp = summary.DateElement?.ToDateTimeOffset(TimeSpan.Zero),
            Entry = [.. ReferenceClosure.WithUrns(ReferenceClosure.Of([summary], candidates, complete)).Select(entry => new Bundle.EntryComponent
            {
                FullUrl = entry.FullUrl,
                Resource = entry.Copy,
            })],
        };
    }
}
