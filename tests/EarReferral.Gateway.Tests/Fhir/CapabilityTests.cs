using EarReferral.Gateway.Fhir;
using EarReferral.Gateway.Fhir.Terminology;
using EarReferral.Storage.Search;

namespace EarReferral.Gateway.Tests.Fhir;

public sealed class CapabilityTests
{
    [Fact]
    public void EverySearchParameterOfTheTable_IsDeclaredOnceWithItsType()
    {
        var statement = Capability.Statement(new Uri("http://127.0.0.1:5080"));

        var declared = statement.Rest[0].Resource.Where(resource => !Definitions.Types.Contains(resource.Type)).SelectMany(resource => resource.SearchParam.Select(parameter => $"{resource.Type}.{parameter.Name}")).ToList();

        Assert.Equal(SearchParameters.All.Select(parameter => $"{parameter.Resource}.{parameter.Name}").Order(), declared.Order());
        Assert.Equal(declared.Count, declared.Distinct().Count());
    }

    [Fact]
    public void OnlyTasks_CanBeUpdated()
    {
        var statement = Capability.Statement(new Uri("http://127.0.0.1:5080"));

        var updatable = statement.Rest[0].Resource.Where(resource => resource.Interaction.Any(interaction => interaction.Code == Hl7.Fhir.Model.CapabilityStatement.TypeRestfulInteraction.Update));

        Assert.Equal(["Task"], updatable.Select(resource => resource.Type));
    }
}
