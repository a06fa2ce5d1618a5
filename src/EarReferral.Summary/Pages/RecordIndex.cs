using Hl7.Fhir.Model;

namespace EarReferral.Summary.Pages;

/// <summary>The resources of a document, found by the references between them.</summary>
internal sealed class RecordIndex(Bundle document)
{
    private readonly Dictionary<string, Resource> byReference = document.Entry
        .Where(entry => entry.Resource is not null)
        .SelectMany(entry => new[] { (Key: entry.FullUrl, entry.Resource), (Key: $"{entry.Resource!.TypeName}/{entry.Resource.Id}", entry.Resource) })
        .Where(pair => !string.IsNullOrEmpty(pair.Key))
        .DistinctBy(pair => pair.Key)
        .ToDictionary(pair => pair.Key!, pair => pair.Resource!, StringComparer.Ordinal);

    public IReadOnlyList<Resource> Resources { get; } = [.. document.Entry.Select(entry => entry.Resource).OfType<Resource>()];

    /// <summary>The resource that a reference names; null when the document does not hold it.</summary>
    public T? Find<T>(ResourceReference? reference)
        where T : Resource => reference?.Reference is { } name ? byReference.GetValueOrDefault(name) as T : null;

    /// <summary>Name and telephone of an organisation.</summary>
    public string Organization(ResourceReference? reference)
    {
        var found = Find<Organization>(reference);
        var name = found?.Name ?? reference?.Display ?? "not recorded";
        return found?.Telecom.Find(telecom => telecom.System is ContactPoint.ContactPointSystem.Phone)?.Value is { } phone ? $"{name}, {phone}" : name;
    }

    /// <summary>Who wrote it, and in which role.</summary>
    public string Author(ResourceReference? reference)
    {
        var role = Find<PractitionerRole>(reference);
        var person = Find<Practitioner>(role?.Practitioner) ?? Find<Practitioner>(reference);
        var words = new[] { person?.Name.FirstOrDefault() is { } name ? PatientFacts.Name(name) : null, role?.Code.FirstOrDefault()?.Text };
        return words.OfType<string>().DefaultIfEmpty("not recorded").Aggregate((one, other) => $"{one}, {other}");
    }
}
