using EarReferral.Testing;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Summary.Tests;

/// <summary>The golden transactions as documents; both hold the same resources and only their order differs.</summary>
internal static class ExampleDocument
{
    public static TheoryData<string> Files() =>
        [.. Directory.EnumerateFiles(Repository.At("examples", "bundles"), "*.json").Select(file => Path.GetFileName(file)).Order(StringComparer.Ordinal)];

    public static Bundle Read(string file) => Beginning<Composition>(file);

    /// <summary>The resources of an example, the one of this type first.</summary>
    public static Bundle Beginning<T>(string file)
        where T : Resource
    {
        var bundle = (Bundle)new FhirJsonDeserializer().DeserializeResource(File.ReadAllText(Repository.At("examples", "bundles", file)));
        bundle.Entry = [.. bundle.Entry.OrderBy(entry => entry.Resource is T ? 0 : 1)];
        return bundle;
    }
}
