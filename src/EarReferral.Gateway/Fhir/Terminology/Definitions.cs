using System.Text;
using EarReferral.Triage.Rules;
using EarReferral.Validation;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Gateway.Fhir.Terminology;

/// <summary>Our own conformance and terminology resources, as this program was built with them, and the rules it has loaded.</summary>
internal sealed class Definitions
{
    /// <summary>Types served from here and never from the store.</summary>
    public static readonly IReadOnlyList<string> Types = ["CodeSystem", "ConceptMap", "NamingSystem", "PlanDefinition", "SearchParameter", "StructureDefinition", "ValueSet"];

    private static readonly FhirJsonDeserializer Reader = new(new DeserializerSettings().UsingMode(DeserializationMode.Ostrich));

    private Definitions(IReadOnlyList<Resource> all) => All = all;

    /// <summary>Every definition, by type and id.</summary>
    public IReadOnlyList<Resource> All { get; }

    /// <summary>Collects them.</summary>
    /// <param name="profiles">What the validator judges by; R4's own definitions among it are left to their publisher.</param>
    /// <param name="rules">The rules that triage has loaded, a local policy written into them.</param>
    /// <param name="ofClinics">Concept maps from the code lists of clinics.</param>
    public static Definitions Read(ProfileSet profiles, RuleBook rules, params IEnumerable<ConceptMap> ofClinics) => new(
    [
        .. profiles.Definitions.Where(IsOurs)
            .Concat(ConceptMaps())
            .Concat(ofClinics)
            .Concat(rules.Files.Select(file => Reader.DeserializeResource(Encoding.UTF8.GetString(file.Content))))
            .Where(definition => Types.Contains(definition.TypeName))
            .OrderBy(definition => definition.TypeName, StringComparer.Ordinal).ThenBy(definition => definition.Id, StringComparer.Ordinal),
    ]);

    /// <summary>The canonical URL of a definition; a NamingSystem has none in R4.</summary>
    public static string? Url(Resource definition) => definition is NamingSystem ? null : (definition as IConformanceResource)?.Url ?? (definition as PlanDefinition)?.Url;

    /// <summary>The definition with this id.</summary>
    public Resource? ById(string type, string id) => All.FirstOrDefault(definition => definition.TypeName == type && definition.Id == id);

    /// <summary>The definition with this canonical URL, with or without <c>|version</c>.</summary>
    public TDefinition? ByUrl<TDefinition>(string canonical)
        where TDefinition : Resource, IVersionableConformanceResource
    {
        var parts = canonical.Split('|');
        return All.OfType<TDefinition>().FirstOrDefault(definition => definition.Url == parts[0] && (parts.Length == 1 || definition.Version == parts[1]));
    }

    private static bool IsOurs(Resource definition) =>
        definition is NamingSystem || Url(definition)?.StartsWith(ProfileSet.CanonicalBase + "/", StringComparison.Ordinal) == true;

    private static IEnumerable<Resource> ConceptMaps()
    {
        var assembly = typeof(Definitions).Assembly;
        foreach (var name in assembly.GetManifestResourceNames().Where(name => name.StartsWith("concept-maps/", StringComparison.Ordinal)))
        {
            using var reader = new StreamReader(assembly.GetManifestResourceStream(name)!);
            yield return Reader.DeserializeResource(reader.ReadToEnd());
        }
    }
}
