using EarReferral.Encounters;
using EarReferral.Encounters.Findings;
using EarReferral.Gateway.Fhir.Terminology;
using EarReferral.Gateway.Rules;
using EarReferral.Mapping.Codes;
using EarReferral.Testing;
using EarReferral.Validation;
using Hl7.Fhir.Model;
using Evidence = EarReferral.Mapping.Codes.Evidence;

namespace EarReferral.Gateway.Tests.Fhir;

/// <summary>What is published about our codes is what the mapper does.</summary>
public sealed class DefinitionsTests
{
    private static readonly Definitions All = Definitions.Read(ProfileSet.Embedded(), RuleFolder.Load(Repository.At("profiles", "rules")));

    public static TheoryData<string> Lists => ["finding", "canal-wall", "occlusion", "practitioner-role"];

    [Theory]
    [MemberData(nameof(Lists))]
    public void ConceptMap_SaysWhatTheMappersCodeTableSays(string list)
    {
        var expected = list switch
        {
            "finding" => FindingTerms.Findings.ToDictionary(code => code, FindingTerms.Of, StringComparer.Ordinal),
            "canal-wall" => Table<CanalWall>(ListTerms.Of),
            "occlusion" => Table<Occlusion>(ListTerms.Of),
            _ => Table<Encounters.PractitionerRole>(ListTerms.Of),
        };

        var group = All.All.OfType<ConceptMap>().Single(map => map.Id == $"{list}-to-snomed-ct").Group.Single();

        Assert.Equal((CodeSystems.Own(list), CodeSystems.Snomed), (group.Source, group.Target));
        Assert.Equal(
            expected.Where(row => row.Value is { Evidence: not Evidence.OnePublication }).Select(row => (row.Key, (string?)row.Value!.Code, (string?)row.Value.Display)).Order(),
            group.Element.Select(element => (element.Code!, element.Target.Single().Code, element.Target.Single().Display)).Order());
        Assert.All(group.Element, element => Assert.Equal(ConceptMapEquivalence.Equivalent, element.Target.Single().Equivalence));
    }

    [Fact]
    public void EverySourceCode_IsInTheCodeSystemThatTheMapNames() =>
        Assert.All(All.All.OfType<ConceptMap>().SelectMany(map => map.Group), group =>
            Assert.Empty(group.Element.Select(element => element.Code).Except(All.ByUrl<CodeSystem>(group.Source!)!.Concept.Select(concept => concept.Code))));

    [Fact]
    public void CodeSystemOfRules_ListsTheRulesThatAreLoaded() =>
        Assert.Equal(
            All.All.OfType<PlanDefinition>().Where(plan => plan.Id!.StartsWith("R-", StringComparison.Ordinal)).Select(plan => (plan.Id, plan.Title)).Order(),
            All.ByUrl<CodeSystem>(CodeSystems.Rule)!.Concept.Select(concept => (concept.Code, concept.Display)).Order());

    [Fact]
    public void NoDefinition_IsThereTwice() => Assert.Equal(All.All.Count, All.All.Select(definition => (definition.TypeName, definition.Id)).Distinct().Count());

    private static Dictionary<string, Term?> Table<TEnum>(Func<TEnum, Term?> term)
        where TEnum : struct, Enum => Enum.GetValues<TEnum>().ToDictionary(Naming.Code, term, StringComparer.Ordinal);
}
