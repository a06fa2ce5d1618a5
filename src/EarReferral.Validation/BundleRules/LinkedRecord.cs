using EarReferral.Validation.Engine;
using Hl7.Fhir.Model;

namespace EarReferral.Validation.BundleRules;

/// <summary>A resource with its place in the bundle.</summary>
/// <param name="Place">FHIRPath, such as <c>Bundle.entry[3].resource</c>.</param>
/// <param name="Resource">The resource.</param>
internal sealed record PlacedResource(string Place, Resource Resource);

/// <summary>Resources that refer to each other, by <c>urn:uuid:</c> in a transaction and by <c>Type/id</c> in a stored record.</summary>
internal sealed class LinkedRecord
{
    private readonly Dictionary<string, PlacedResource> _byAddress = new(StringComparer.Ordinal);

    private LinkedRecord(IReadOnlyList<PlacedResource> resources, IEnumerable<(string Address, PlacedResource Resource)> addresses)
    {
        Resources = resources;
        foreach (var (address, resource) in addresses)
        {
            _byAddress.TryAdd(address, resource);
        }

        References = [.. resources.SelectMany(resource => ReferenceWalk.Of(resource.Resource, resource.Place).Select(reference => (resource, reference)))];
    }

    /// <summary>The resources in the order given.</summary>
    public IReadOnlyList<PlacedResource> Resources { get; }

    /// <summary>Every reference with the resource it stands in.</summary>
    public IReadOnlyList<(PlacedResource From, PlacedReference Reference)> References { get; }

    /// <summary>The resources of a bundle, addressed by fullUrl.</summary>
    public static LinkedRecord Of(Bundle bundle)
    {
        var placed = bundle.Entry.Select((entry, index) => (entry.FullUrl, Resource: entry.Resource is { } resource ? new PlacedResource($"Bundle.entry[{index}].resource", resource) : null))
            .Where(entry => entry.Resource is not null).ToList();
        return new LinkedRecord(
            [.. placed.Select(entry => entry.Resource!)],
            placed.Where(entry => entry.FullUrl is not null).Select(entry => (entry.FullUrl!, entry.Resource!)));
    }

    /// <summary>The resources of a stored record, addressed by type and id.</summary>
    public static LinkedRecord Of(IReadOnlyList<Resource> record)
    {
        var placed = record.Select((resource, index) => new PlacedResource($"Bundle.entry[{index}].resource", resource)).ToList();
        return new LinkedRecord(placed, placed.Select(one => ($"{one.Resource.TypeName}/{one.Resource.Id}", one)));
    }

    /// <summary>What a reference points to, or null when it is not here.</summary>
    public PlacedResource? Target(ResourceReference? reference) =>
        reference?.Reference is { } address ? _byAddress.GetValueOrDefault(address) : null;

    /// <summary>What several references point to; those that point nowhere are left to <see cref="LinkRule"/>.</summary>
    public IEnumerable<PlacedResource> Targets(IEnumerable<ResourceReference> references) => references.Select(Target).OfType<PlacedResource>();
}
