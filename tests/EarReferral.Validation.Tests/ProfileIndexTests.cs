using System.Text;
using EarReferral.Testing;
using EarReferral.Validation.Tests.Pack;
using Hl7.Fhir.Model;
using Hl7.Fhir.Utility;

namespace EarReferral.Validation.Tests;

/// <summary>docs/profiles.md is written from the files in profiles. Set EAR_REFERRAL_REBUILD_DEFINITIONS=1 to write it anew.</summary>
public sealed class ProfileIndexTests
{
    [Fact]
    public async System.Threading.Tasks.Task Page_SaysWhatTheFilesSay()
    {
        var path = Repository.At("docs", "profiles.md");
        var page = Page(DefinitionPack.Authored(), [.. ProfileSet.Embedded().Definitions.Where(one => one is IConformanceResource { Url: { } url } && url.StartsWith(ProfileSet.CanonicalBase, StringComparison.Ordinal))]);
        if (Environment.GetEnvironmentVariable("EAR_REFERRAL_REBUILD_DEFINITIONS") == "1")
        {
            await File.WriteAllTextAsync(path, page, TestContext.Current.CancellationToken);
        }

        Assert.Equal(await File.ReadAllTextAsync(path, TestContext.Current.CancellationToken), page);
    }

    private static string Page(IReadOnlyList<StructureDefinition> profiles, IReadOnlyList<Resource> lists)
    {
        var page = new StringBuilder()
            .Append("# Profiles\n\n")
            .Append("Written from the files in `profiles/` by a test; change those, not this page. FHIR R4 (4.0.1), all version 1.0.0.\n\n")
            .Append("*Must support* means: the sender fills it if it is known, the receiver stores and shows it.\n")
            .Append("Bindings listed here are required and can be expanded without a terminology server. Patterns are used instead of fixed values, so an extra coding or text never breaks a resource.\n");
        foreach (var profile in profiles)
        {
            var elements = profile.Differential!.Element;
            page.Append("\n## ").Append(profile.Id).Append(" (").Append(profile.Type).Append(")\n\n")
                .Append(profile.Description).Append(' ').Append(profile.Purpose).Append("\n\n")
                .Append("Canonical: `").Append(profile.Url).Append("`\n\n");
            Line(page, "Mandatory", elements.Where(element => element.Min > 0).Select(Name));
            Line(page, "Must support", elements.Where(element => element.MustSupport == true).Select(Name));
            Line(page, "Bound to", elements.Where(element => element.Binding is not null).Select(element => $"{Name(element)} to {element.Binding!.ValueSet!.Split('/')[^1]}"));
            foreach (var (element, constraint) in elements.SelectMany(element => element.Constraint.Select(constraint => (element, constraint))))
            {
                page.Append("- `").Append(constraint.Key).Append("` (").Append(constraint.Severity!.GetLiteral()).Append(", on ").Append(Name(element)).Append("): ").Append(constraint.Human).Append('\n');
            }
        }

        page.Append("\n## Value sets\n\n| name | what | codes |\n| --- | --- | --- |\n");
        foreach (var set in lists.OfType<ValueSet>().OrderBy(set => set.Id, StringComparer.Ordinal))
        {
            page.Append("| ").Append(set.Id).Append(" | ").Append(set.Description).Append(" | ")
                .AppendJoin(", ", set.Compose!.Include.SelectMany(include => include.Concept.Count == 0 ? [$"all of {include.System!.Split('/')[^1]}"] : include.Concept.Select(concept => concept.Code!))).Append(" |\n");
        }

        page.Append("\n## Code systems\n\n| name | what | codes |\n| --- | --- | --- |\n");
        foreach (var list in lists.OfType<CodeSystem>().OrderBy(list => list.Id, StringComparer.Ordinal))
        {
            page.Append("| ").Append(list.Id).Append(" | ").Append(list.Description).Append(" | ")
                .Append(list.Concept.Count > 20 ? $"{list.Concept.Count} codes" : string.Join(", ", list.Concept.Select(concept => concept.Code))).Append(" |\n");
        }

        return page.ToString();
    }

    private static void Line(StringBuilder page, string label, IEnumerable<string> items)
    {
        var text = string.Join(", ", items);
        if (text.Length > 0)
        {
            page.Append(label).Append(": ").Append(text).Append(".\n\n");
        }
    }

    private static string Name(ElementDefinition element) =>
        element.ElementId!.IndexOf('.', StringComparison.Ordinal) is var dot and >= 0 ? $"`{element.ElementId[(dot + 1)..]}`" : "the resource";
}
