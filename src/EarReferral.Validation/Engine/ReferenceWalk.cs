using Hl7.Fhir.Model;

namespace EarReferral.Validation.Engine;

/// <summary>A reference and where it stands.</summary>
/// <param name="Location">FHIRPath with indices, such as <c>Bundle.entry[3].resource.performer[0].actor</c>.</param>
/// <param name="ElementPath">Path as a StructureDefinition writes it, such as <c>Procedure.performer.actor</c>.</param>
/// <param name="Reference">The reference.</param>
internal sealed record PlacedReference(string Location, string ElementPath, ResourceReference Reference);

/// <summary>Finds every reference of a resource, those in extensions and contained resources included.</summary>
internal static class ReferenceWalk
{
    public static IEnumerable<PlacedReference> Of(Resource resource, string place) => Walk(resource, place, resource.TypeName);

    private static IEnumerable<PlacedReference> Walk(Base node, string location, string elementPath)
    {
        foreach (var (name, value) in node.EnumerateElements())
        {
            var places = value switch
            {
                Base one => [(one, $"{location}.{name}")],
                IEnumerable<Base> many => many.Select((one, index) => (one, $"{location}.{name}[{index}]")).Where(item => item.one is not null),
                _ => Enumerable.Empty<(Base, string)>(),
            };
            foreach (var (child, childLocation) in places)
            {
                if (child is ResourceReference reference)
                {
                    yield return new PlacedReference(childLocation, $"{elementPath}.{name}", reference);
                }

                foreach (var deeper in Walk(child, childLocation, $"{elementPath}.{name}"))
                {
                    yield return deeper;
                }
            }
        }
    }
}
