using EarReferral.Validation.Engine;
using Hl7.Fhir.Model;

namespace EarReferral.Validation.Tests.Verdicts;

/// <summary>What the key leaves out, what it keeps, and that the memory is bounded.</summary>
public sealed class ContentKeyTests
{
    private static readonly ContentKey Key = new(abstracted: true);

    [Fact]
    public void OtherReferenceOfTheSameForm_HasTheSameKey() =>
        Assert.Equal(Of(_ => { }), Of(finding => finding.Encounter!.Reference = "urn:uuid:0b0e7f2a-1c53-4d3e-9f6b-5a0d8c7e4f11"));

    [Fact]
    public void OtherInstantAlone_HasTheSameKey() =>
        Assert.Equal(Of(_ => { }), Of(finding => finding.Effective = new FhirDateTime("2026-06-01T09:00:00+01:00")));

    [Fact]
    public void EncounterThatIsAlsoTheSubject_HasAnotherKey() =>
        Assert.NotEqual(Of(_ => { }), Of(finding => finding.Encounter!.Reference = finding.Subject!.Reference));

    [Fact]
    public void InstantThatDoesNotExist_HasAnotherKey() =>
        Assert.NotEqual(Of(_ => { }), Of(finding => finding.Effective = new FhirDateTime("2026-02-30T09:00:00+00:00")));

    [Fact]
    public void OtherCode_HasAnotherKey() =>
        Assert.NotEqual(Of(_ => { }), Of(finding => finding.Code!.Coding[0].Code = "hearing-whatever"));

    [Fact]
    public void ContainedResource_HasNoKey() => Assert.Null(Of(finding => finding.Contained = [new Device()]));

    [Fact]
    public void Memory_HoldsNoMoreThanItsCapacity()
    {
        var memory = new CleanMemory(100);
        for (var number = 0; number < 1000; number++)
        {
            memory.Add(ContentDigest.Of(BitConverter.GetBytes(number)));
            Assert.InRange(memory.Count, 1, 100);
        }

        Assert.True(memory.Contains(ContentDigest.Of(BitConverter.GetBytes(999))));
        Assert.False(memory.Contains(ContentDigest.Of(BitConverter.GetBytes(0))));
    }

    private static ContentDigest? Of(Action<Observation> change)
    {
        var finding = Judge.Finding("hearing-change");
        change(finding);
        return Key.Of(finding, "https://ear-referral.example/fhir/StructureDefinition/ear-observation");
    }
}
