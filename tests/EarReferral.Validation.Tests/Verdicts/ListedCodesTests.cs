using EarReferral.Validation.Engine;
using Hl7.Fhir.Model;
using Hl7.Fhir.Specification.Source;
using Hl7.Fhir.Specification.Terminology;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Validation.Tests.Verdicts;

/// <summary>
/// What is read off a list is never more than the terminology service of Hl7.Fhir.R4 allows (the reference library here), and nothing
/// doubtful is on a list (CodeSystem concept properties: http://hl7.org/fhir/R4/codesystem-concept-properties.html).
/// </summary>
public sealed class ListedCodesTests
{
    private const string System = "https://ear-referral.example/fhir/CodeSystem/made-up";
    private const string Set = "https://ear-referral.example/fhir/ValueSet/made-up";

    [Fact]
    public async Task EveryListedCode_PassesTheTerminologyServiceWithoutRemark()
    {
        var profiles = ProfileSet.Embedded();
        var service = LocalTerminologyService.CreateDefaultForCore(new CachedResolver(new InMemoryResourceResolver(profiles.Definitions)));
        var lists = ListedCodes.Of(profiles.Definitions);
        var systems = profiles.Definitions.OfType<CodeSystem>().Where(system => system.Url is not null).ToLookup(system => system.Url!, StringComparer.Ordinal);
        var asked = 0;
        foreach (var set in profiles.Definitions.OfType<ValueSet>().Where(set => set.Url is not null && lists.ContainsKey(set.Url)))
        {
            var candidates = set.Compose!.Include.SelectMany(include => include.Concept.Count > 0
                ? include.Concept.Select(concept => new Coding(include.System, concept.Code!, concept.Display!))
                : systems[include.System ?? ""].SelectMany(system => Flat(system.Concept)).Select(concept => new Coding(include.System, concept.Code!, concept.Display!)));

            // A part of the long lists is enough: they are read by the same lines.
            foreach (var coding in candidates.Where(coding => lists[set.Url!].Hold(coding)).Take(60))
            {
                var answer = await service.ValueSetValidateCode(new ValidateCodeParameters().WithValueSet(set.Url!).WithCoding(coding));
                Assert.True(answer.GetSingleValue<FhirBoolean>("result")?.Value == true, $"{coding.System}|{coding.Code} in {set.Url}");
                Assert.Null(answer.GetSingleValue<FhirString>("message"));
                asked++;
            }
        }

        Assert.True(asked > 500, $"only {asked} codes were on a list");
    }

    [Theory]
    [InlineData("status")]
    [InlineData("inactive")]
    [InlineData("deprecated")]
    [InlineData("deprecationDate")]
    [InlineData("retired")]
    [InlineData("retirementDate")]
    [InlineData("notSelectable")]
    [InlineData("abstract")]
    public void CodeWithAPropertyThatMakesItDoubtful_IsLeftToTheService(string property)
    {
        var list = ListOf(new CodeSystem.ConceptPropertyComponent { Code = property, Value = new FhirBoolean(false) });

        Assert.False(list.Hold(new Coding(System, "a", "A")));
        Assert.True(list.Hold(new Coding(System, "b", "B")));
        Assert.True(list.Hold(new Coding(System, "child", "Child")));
    }

    [Fact]
    public void OtherDisplayVersionSystemOrSecondCoding_IsLeftToTheService()
    {
        var list = ListOf();

        Assert.True(list.Hold(new Coding(System, "a")));
        Assert.True(list.Hold(new CodeableConcept(System, "a", "A", "any words")));
        Assert.True(list.Hold(new Code("a")));
        Assert.False(list.Hold(new Coding(System, "a", "another A")));
        Assert.False(list.Hold(new Coding(System, "a", "A") { Version = "1" }));
        Assert.False(list.Hold(new Coding("urn:other", "a", "A")));
        Assert.False(list.Hold(new Coding(null, "a")));
        Assert.False(list.Hold(new Code("A")));
        Assert.False(list.Hold(new FhirString("a")));
        Assert.False(list.Hold(new CodeableConcept { Coding = [new Coding(System, "a"), new Coding(System, "b")] }));
    }

    // A value set of which a part cannot be read may be one that the service cannot check at all, and that must be said.
    [Fact]
    public void ValueSetWithAPartThatCannotBeRead_HasNoListAtAll()
    {
        AssertNone(set => set.Compose!.Include[0].Filter.Add(new ValueSet.FilterComponent { Property = "concept", Op = FilterOperator.IsA, Value = "a" }));
        AssertNone(set => set.Compose!.Include[0].ValueSet = ["urn:another"]);
        AssertNone(set => set.Compose!.Include[0].Version = "2");
        AssertNone(set => set.Compose!.Include.Add(new ValueSet.ConceptSetComponent { System = "urn:not-here" }));
        AssertNone(set => set.Compose!.Include.Add(new ValueSet.ConceptSetComponent { ValueSet = ["urn:another"] }));
        AssertNone(set => set.Compose!.Exclude.Add(new ValueSet.ConceptSetComponent { System = System, Concept = [new() { Code = "a" }] }));
    }

    [Fact]
    public void CodesOfASystemThatIsNotHere_AreListedWhereTheValueSetNamesThem()
    {
        var set = MadeUp(_ => { });
        set.Compose!.Include.Add(new ValueSet.ConceptSetComponent { System = "urn:not-here", Concept = [new() { Code = "x" }] });
        var list = ListedCodes.Of([set, Codes()])[Set];

        Assert.True(list.Hold(new Coding("urn:not-here", "x")));
        Assert.False(list.Hold(new Coding("urn:not-here", "y")));
    }

    [Fact]
    public void CodeThatItsOwnSystemDoesNotHave_IsNotOnTheList() =>
        Assert.False(ListOf(include => include.Concept.Add(new ValueSet.ConceptReferenceComponent { Code = "gone" })).Hold(new Coding(System, "gone")));

    private static void AssertNone(Action<ValueSet> change)
    {
        var set = MadeUp(_ => { });
        change(set);
        Assert.Empty(ListedCodes.Of([set, Codes()]));
    }

    private static ListedCodes ListOf(params CodeSystem.ConceptPropertyComponent[] ofFirst) => ListedCodes.Of([MadeUp(_ => { }), Codes(ofFirst)])[Set];

    private static ListedCodes ListOf(Action<ValueSet.ConceptSetComponent> change) => ListedCodes.Of([MadeUp(change), Codes()])[Set];

    private static ValueSet MadeUp(Action<ValueSet.ConceptSetComponent> change)
    {
        var include = new ValueSet.ConceptSetComponent { System = System };
        change(include);
        return new ValueSet { Url = Set, Compose = new ValueSet.ComposeComponent { Include = [include] } };
    }

    private static CodeSystem Codes(params CodeSystem.ConceptPropertyComponent[] ofFirst) => new()
    {
        Url = System,
        Content = CodeSystemContentMode.Complete,
        Concept =
        [
            new() { Code = "a", Display = "A", Property = [.. ofFirst], Concept = [new() { Code = "child", Display = "Child" }] },
            new() { Code = "b", Display = "B" },
        ],
    };

    private static IEnumerable<CodeSystem.ConceptDefinitionComponent> Flat(IEnumerable<CodeSystem.ConceptDefinitionComponent> concepts) =>
        concepts.SelectMany(concept => Flat(concept.Concept).Prepend(concept));
}
