using System.Collections;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Referral;

/// <summary>Follows literal references between resources and turns them into the form that a bundle needs.</summary>
internal static class ReferenceClosure
{
    /// <summary>Those of the candidates that the roots reach, roots included, in the order of the candidates.</summary>
    /// <param name="roots">Where to start.</param>
    /// <param name="candidates">What may be reached.</param>
    /// <param name="complete">Whether every reference must lead to a candidate; otherwise one that does not is passed over.</param>
    /// <exception cref="InvalidOperationException">A reference leads nowhere although all must lead somewhere.</exception>
    public static IReadOnlyList<Resource> Of(IEnumerable<Resource> roots, IReadOnlyList<Resource> candidates, bool complete)
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
                if (byReference.TryGetValue(target, out var found))
                {
                    open.Enqueue(found);
                }
                else if (complete)
                {
                    throw Dangling(resource, target);
                }
            }
        }

        return [.. candidates.Where(candidate => reached.Contains(Key(candidate)))];
    }

    /// <summary>Copies whose references to one another have the <c>urn:uuid:</c> form; a reference to anything else stays as it is.</summary>
    public static IEnumerable<(string FullUrl, Resource Copy)> WithUrns(IReadOnlyList<Resource> resources)
    {
        var urls = resources.ToDictionary(Key, resource => $"urn:uuid:{resource.Id}", StringComparer.Ordinal);
        return resources.Select(resource => (urls[Key(resource)], WithUrns(resource, urls)));
    }

    private static Resource WithUrns(Resource resource, Dictionary<string, string> urls)
    {
        var copy = (Resource)resource.DeepCopy();
        foreach (var reference in References(copy))
        {
            if (reference.Reference is { } target && urls.TryGetValue(target, out var url))
            {
                reference.Reference = url;
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
