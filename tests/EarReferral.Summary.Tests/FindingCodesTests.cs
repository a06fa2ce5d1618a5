using EarReferral.Mapping.Codes;
using EarReferral.Summary.Findings;
using EarReferral.Testing;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Summary.Tests;

public sealed class FindingCodesTests
{
    [Fact]
    public void SnomedCodes_AreThoseThatTheMappingWrites()
    {
        Assert.Equal(FindingCodes.RightEar, Snomed.RightEar.Code);
        Assert.Equal(FindingCodes.LeftEar, Snomed.LeftEar.Code);
        Assert.Equal(FindingCodes.Present, Snomed.Present.Code);
        Assert.Equal(FindingCodes.Snomed, Snomed.Present.System);
    }

    [Fact]
    public void LocalCodes_AreInThePublishedList()
    {
        var published = ((CodeSystem)new FhirJsonDeserializer().DeserializeResource(File.ReadAllText(Repository.At("profiles", "code-systems", "finding.json")))).Concept.Select(concept => concept.Code!).ToHashSet();

        Assert.Subset(published, new HashSet<string>([
            FindingCodes.Deposit, FindingCodes.Residual, FindingCodes.LocationPart, FindingCodes.LocationWall, FindingCodes.LocationQuadrant,
            FindingCodes.DrumVisualised, FindingCodes.LightReflex, FindingCodes.Perforation, .. FindingCodes.Wanted]));
    }
}
