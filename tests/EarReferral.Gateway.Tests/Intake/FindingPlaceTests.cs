using System.Text.Json.Nodes;
using EarReferral.Encounters;
using EarReferral.Encounters.Findings;
using EarReferral.Gateway.Intake;

namespace EarReferral.Gateway.Tests.Intake;

public sealed class FindingPlaceTests
{
    public static TheoryData<string> EarCodes() => [.. FindingCatalogue.Ear.Select(row => row.Code).Concat(FindingCatalogue.Otoscopy.Select(row => row.Code))];

    public static TheoryData<string> PatientCodes() => [.. FindingCatalogue.Patient.Select(row => row.Code)];

    [Theory]
    [MemberData(nameof(EarCodes))]
    public void FindingOfAnEar_HasAPlaceInThatEar(string code)
    {
        var document = Document();

        var (parent, member) = FindingPlace.Find(document, code, EarSide.Left)!.Value;

        parent[member] = "answer";
        Assert.Contains("\"answer\"", document["ears"]![1]!.ToJsonString(), StringComparison.Ordinal);
        Assert.DoesNotContain("\"answer\"", document["ears"]![0]!.ToJsonString(), StringComparison.Ordinal);
    }

    [Theory]
    [MemberData(nameof(PatientCodes))]
    public void FindingOfThePatient_HasAPlace(string code) => Assert.NotNull(FindingPlace.Find(Document(), code, null));

    [Theory]
    [InlineData("hearing-onset-date", null, "an ear's finding without a side")]
    [InlineData("no-such-finding", EarSide.Right, "not in the catalogue")]
    public void UnknownPlace_IsNotInvented(string code, EarSide? side, string because) => Assert.True(FindingPlace.Find(Document(), code, side) is null, because);

    [Fact]
    public void OtoscopyAnswer_BelongsToTheLastLook()
    {
        var document = Document();
        document["ears"]![1]!["after"] = new JsonObject();

        var (parent, _) = FindingPlace.Find(document, "drum-perforation", EarSide.Left)!.Value;

        Assert.Same(document["ears"]![1]!["after"]!["drum"], parent);
    }

    private static JsonObject Document() => new()
    {
        ["ears"] = new JsonArray(new JsonObject { ["side"] = "right" }, new JsonObject { ["side"] = "left" }),
    };
}
