using EarReferral.Testing;
using EarReferral.Validation.Engine;
using Hl7.Fhir.Model;

namespace EarReferral.Validation.Tests;

/// <summary>Every extension that a rule file carries is defined, with the type of value that the file gives.</summary>
public sealed class RuleExtensionTests
{
    private const string Prefix = ProfileSet.CanonicalBase + "/StructureDefinition/";

    private static readonly Dictionary<string, StructureDefinition> Defined = ProfileSet.Embedded().Profiles.ToDictionary(profile => profile.Url!, StringComparer.Ordinal);

    private static readonly List<(string File, Extension Extension)> Used =
    [
        .. from file in Directory.EnumerateFiles(Repository.At("profiles", "rules"), "*.json")
           from resource in DefinitionFile.Read(Path.GetFileName(file), File.ReadAllBytes(file))
           from extension in Extensions(resource)
           where extension.Url!.StartsWith(Prefix, StringComparison.Ordinal)
           select (Path.GetFileName(file), extension),
    ];

    [Fact]
    public void EveryExtensionOfTheRules_IsDefinedWithItsType()
    {
        Assert.True(Used.Count > 500);
        Assert.All(Used.Where(used => used.Extension.Value is not null), used =>
            Assert.Equal(
                used.Extension.Value!.TypeName,
                Defined[used.Extension.Url!].Snapshot!.Element.Single(element => element.ElementId == "Extension.value[x]").Type.Single().Code));
    }

    [Fact]
    public void EveryPartOfAVariable_IsASliceOfItsType()
    {
        var elements = Defined[Prefix + "rule-variable"].Snapshot!.Element.ToDictionary(element => element.ElementId!, StringComparer.Ordinal);
        var parts = Used.Where(used => used.Extension.Url == Prefix + "rule-variable").SelectMany(used => used.Extension.Extension).ToList();

        Assert.True(parts.Count > 300);
        Assert.All(parts, part => Assert.Equal(part.Value!.TypeName, elements[$"Extension.extension:{part.Url}.value[x]"].Type.Single().Code));
    }

    [Fact]
    public void EveryCodeOfTheRules_IsInTheValueSetThatItsElementIsBoundTo()
    {
        var definitions = ProfileSet.Embedded().Definitions;
        var (systems, sets) = (definitions.OfType<CodeSystem>().ToDictionary(system => system.Url!), definitions.OfType<ValueSet>().ToDictionary(set => set.Url!));
        var bound = Defined.Values.Where(definition => definition.Url!.StartsWith(Prefix + "rule-", StringComparison.Ordinal))
            .SelectMany(definition => definition.Snapshot!.Element.Where(element => element.Max != "0" && element.Type.Any(type => type.Code == "code")).Select(element => (Key: $"{definition.Url} {element.ElementId}", element.Binding)))
            .ToDictionary(
                element => element.Key,
                element => element.Binding is { Strength: BindingStrength.Required, ValueSet: { } set } ? sets[set].Compose!.Include.SelectMany(include => systems[include.System!].Concept).Select(concept => concept.Code!).ToHashSet() : []);
        var codes = Used.Where(used => used.Extension.Value is Code).Select(used => ($"{used.Extension.Url} Extension.value[x]", Value: used.Extension.Value!.ToString()!))
            .Concat(Used.SelectMany(used => used.Extension.Extension.Where(part => part.Value is Code).Select(part => ($"{used.Extension.Url} Extension.extension:{part.Url}.value[x]", Value: part.Value!.ToString()!)))).ToList();

        Assert.True(codes.Count > 500);
        Assert.All(bound, element => Assert.True(element.Value.Count > 0, $"{element.Key} is not bound"));
        Assert.All(codes, code => Assert.Contains(code.Value, bound[code.Item1]));
    }

    [Fact]
    public void EveryDefinedRuleExtension_IsUsed() =>
        Assert.Equal(
            Defined.Keys.Where(url => url.StartsWith(Prefix + "rule-", StringComparison.Ordinal)).Order(StringComparer.Ordinal),
            Used.Select(used => used.Extension.Url!).Distinct().Order(StringComparer.Ordinal));

    private static IEnumerable<Extension> Extensions(Base node)
    {
        foreach (var (_, value) in node.EnumerateElements())
        {
            foreach (var child in value is Base one ? [one] : value as IEnumerable<Base> ?? [])
            {
                if (child is Extension extension)
                {
                    yield return extension;
                    continue;
                }

                foreach (var deeper in Extensions(child))
                {
                    yield return deeper;
                }
            }
        }
    }
}
