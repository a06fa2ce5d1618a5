using System.Collections;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Referral;

/// <summary>Follows literal references between resources and turns them into the form that a bundle needs.</summary>
internal static class ReferenceClosure
{
    /// <summary>Those of the candidates that the roots reach, roots included, in the order of the candidates.</summary>
    public static IReadOnlyList<Resource> Of(IEnumerable<Resource> roots, IReadOnlyList<Resource> candidates)
    {
        var byReference = candidates.ToDictionary(Key, StringComparer.Ordinal);
        var reached = new HashSet<string>(StringComparer.Ordinal);
        var open = new Queue<Resource>(roots);
        while (open.TryDequeue(out var resource))
        {
            if (!reached.Add(Key(resource)))
            {
                continue;
            }

            foreach (var target in References(resource).Select(reference => reference.Reference).OfType<string>())
            {
                open.Enqueue(byReference.TryGetValue(target, out var found) ? found : throw Dangling(resource, target));
            }
        }

        return [.. candidates.Where(candidate => reached.Contains(Key(candidate)))];
    }

    /// <summary>A copy whose references are the <c>urn:uuid:</c> form of the ids they point to.</summary>
    public static Resource WithUrns(Resource resource)
    {
        var copy = (Resource)resource.DeepCopy();
        foreach (var reference in References(copy))
        {
            if (reference.Reference is { } target)
            {
                reference.Reference = $"urn:uuid:{target[(target.IndexOf('/', StringComparison.Ordinal) + 1)..]}";
            }
        }

        return copy;
    }

    /// <summary>Every reference element below an element, however deep.</summary>
    public static IEnumerable<ResourceReference> References(Base element)
    {
        foreach (var (_, value) in element.EnumerateElements())
        {
            var children = value switch
            {
                Base child => [child],
                IEnumerable list and not string => list.OfType<Base>(),
                _ => [],
            };
            foreach (var child in children)
            {
                if (child is ResourceReference reference)
                {
                    yield return reference;
                }

                foreach (var deeper in References(child))
                {
                    yield return deeper;
                }
            }
        }
    }

    private static string Key(Resource resource) => $"{resource.TypeName}/{resource.Id}";

    private static InvalidOperationException Dangling(Resource from, string target) =>
        new($"{from.TypeName} refers to {target}, which is not among the resources of the encounter.");
}
