using System.IO.Compression;
using EarReferral.Gateway.Fhir;
using EarReferral.Storage.Search;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;
using SearchParameter = Hl7.Fhir.Model.SearchParameter;

namespace EarReferral.Gateway.Tests.Fhir;

/// <summary>Our table of search parameters against the registry that HL7 publishes with FHIR R4 (search-parameters.xml and the CompartmentDefinitions).</summary>
public sealed class SearchRegistryTests
{
    private static readonly string[] Ours = ["laterality"];
    private static readonly Lazy<Bundle> Registry = new(() => Read("search-parameters.xml"));

    public static TheoryData<string> Types => [.. SearchParameters.Resources];

    [Theory]
    [MemberData(nameof(Types))]
    public void EveryRow_HasTheNameAndKindAndTargetsOfR4(string type)
    {
        var registered = Registry.Value.Entry.Select(entry => (SearchParameter)entry.Resource!)
            .Where(parameter => parameter.Base.Any(each => each.ToString() is { } name && (name == type || name is "Resource" or "DomainResource")))
            .ToLookup(parameter => parameter.Code!);
        foreach (var row in SearchParameters.Of(type).Where(row => !Ours.Contains(row.Name)))
        {
            var theirs = Assert.Single(registered[row.Name]);
            Assert.Equal(theirs.Type, row.Kind switch
            {
                SearchParameterKind.Token => SearchParamType.Token,
                SearchParameterKind.Reference => SearchParamType.Reference,
                SearchParameterKind.Date => SearchParamType.Date,
                SearchParameterKind.Text => SearchParamType.String,
                SearchParameterKind.Uri => SearchParamType.Uri,
            });
            Assert.Empty(row.Targets.Except(theirs.Target.Select(target => target.ToString()!)));
        }
    }

    [Fact]
    public void BoldParameters_AreAllThere()
    {
        // What a GP's or an ENT department's system needs at least; the product's own promise.
        string[] promised =
        [
            "Procedure patient subject identifier date code status encounter category performer laterality",
            "Encounter patient subject identifier date status class service-provider",
            "DocumentReference patient subject identifier date type category status encounter",
            "Composition patient subject identifier date type status encounter entry",
            "ServiceRequest patient identifier authored status priority intent",
            "Task patient identifier status business-status focus owner requester modified",
            "Observation patient code date encounter part-of category laterality",
            "Condition patient code clinical-status encounter body-site",
            "Patient identifier birthdate family given",
        ];

        Assert.All(promised.Select(line => line.Split(' ')), line => Assert.Empty(line[1..].Concat(["_id", "_lastUpdated"]).Except(SearchParameters.Of(line[0]).Select(row => row.Name))));
    }

    [Theory]
    [InlineData("Patient")]
    [InlineData("Encounter")]
    public void Compartment_HasTheMembersOfR4(string owner)
    {
        var theirs = Read("profiles-resources.xml").Entry.Select(entry => entry.Resource).OfType<CompartmentDefinition>().Single(definition => definition.Code.ToString() == owner)
            .Resource.ToDictionary(member => member.Code!.ToString()!, member => member.Param.ToList());

        foreach (var type in Capability.Types.Except([owner]))
        {
            // Parameters that the table does not have could not be followed; what R4 names and the table has is.
            var expected = theirs.GetValueOrDefault(type)?.OfType<string>().Where(name => SearchParameters.Find(type, name) is not null) ?? [];
            Assert.Equal(expected.Order(), new Compartment(owner, "1").Parameters(type).Order());
        }
    }

    private static Bundle Read(string file)
    {
        using var zip = ZipFile.OpenRead(Path.Combine(AppContext.BaseDirectory, "specification.zip"));
        using var reader = new StreamReader(zip.GetEntry(file)!.Open());
        return (Bundle)new FhirXmlDeserializer(new DeserializerSettings().UsingMode(DeserializationMode.Ostrich)).DeserializeResource(reader.ReadToEnd());
    }
}
