using System.Text.Json.Nodes;
using EarReferral.Encounters.Reading;
using EarReferral.Encounters.Tests.Fixtures;

namespace EarReferral.Encounters.Tests.Vocabulary;

/// <summary>A clinic posts its own codes; what they mean is looked up, never guessed (decision 0020).</summary>
public sealed class VocabularyTranslationTests
{
    [Fact]
    public void MappedCodes_BecomeTheContractsAndAreKeptBesideThem()
    {
        var reading = Read(Own);

        Assert.Empty(reading.Problems);
        var ear = reading.Encounter!.Ears[0];
        Assert.Equal((EarSide.Right, HearingChange.Gradual, Occlusion.Partial), (ear.Side, ear.Hearing!.Change!.Value, ear.Deposits[0].Occlusion!.Value));
        Assert.Equal(PractitionerRole.RegisteredNurse, reading.Encounter.Practitioner.Role);
        Assert.Contains(
            new LocalCode("/ears/0/hearing/change", "HV-1", "Words of HV-1", "hearing-change", 0, null, "gradual"),
            reading.Encounter.Vocabulary!.Codes);
        Assert.Contains(
            new LocalCode("/ears/0/after/drum/appearance", "DA-1", "Words of DA-1", "drum-appearance", 0, true, "dull"),
            reading.Encounter.Vocabulary.Codes);
    }

    [Fact]
    public void DocumentWithoutVocabulary_IsReadAsEver()
    {
        var reading = EncounterReader.Read(Fixture.FinishedWith(_ => { }), Options);

        Assert.Empty(reading.Problems);
        Assert.Null(reading.Encounter!.Vocabulary);
    }

    [Theory]
    [InlineData("ears/0/side", "right", "the contract's own code in place of the clinic's: the list is spoken in the clinic's codes alone")]
    [InlineData("ears/0/side", "RE", "a side is never guessed")]
    [InlineData("ears/0/hearing/change", "HV-9", "a red-flag rule reads it")]
    [InlineData("ears/0/hearing/change", "HV-3", "wider is no match where a rule reads it")]
    [InlineData("ears/0/outcome/result", "CLEAN", "what came of the procedure")]
    [InlineData("ears/0/steps/0/instrument", "SUK", "what was done")]
    [InlineData("practitioner/role", "XX", "the contract demands it")]
    [InlineData("ears/0/deposits/0/occlusion", "OC-9", "no finding that could carry it")]
    public void UnmappedCodeThatDecides_IsRefusedWithItsPlace(string place, string code, string because)
    {
        var reading = Read(it => { Own(it); Set(it, place, code); });

        Assert.True(reading.Encounter is null, because);
        Assert.Equal([("vocabulary.unmapped", "/" + place)], reading.Problems.Select(problem => (problem.Id, problem.Pointer)));
    }

    [Theory]
    [InlineData("DA-9", null, "not on the clinic's maps")]
    [InlineData("DA-3", "Words of DA-3", "the clinic's own map says unmatched")]
    public void UnmappedCodeElsewhere_IsLeftOutAndKept(string code, string? words, string because)
    {
        var reading = Read(it => { Own(it); Set(it, "ears/0/after/drum/appearance", code); });

        Assert.True(reading.Encounter is not null, because);
        Assert.Null(reading.Encounter.Ears[0].After!.Drum.Appearance);
        Assert.Contains(
            new LocalCode("/ears/0/after/drum/appearance", code, words, "drum-appearance", 0, true, null),
            reading.Encounter.Vocabulary!.Codes);
    }

    [Fact]
    public void WiderCodeWhereNoRuleReads_IsTaken() =>
        Assert.Equal(DrumAppearance.Other, Read(it => { Own(it); Set(it, "ears/0/after/drum/appearance", "DA-2"); }).Encounter!.Ears[0].After!.Drum.Appearance);

    [Fact]
    public void CodeThatLooksLikeTheContractsAndMeansSomethingElse_IsReadAsTheClinicMeansIt() =>
        Assert.Equal(HearingChange.NotAsked, Read(it => { Own(it); Set(it, "ears/0/hearing/change", "none"); }).Encounter!.Ears[0].Hearing!.Change);

    [Fact]
    public void RefusedDocument_IsStillLookedThroughInTheContractsCodes()
    {
        var document = Fixture.FinishedWith(it => { Own(it); Set(it, "ears/0/hearing/change", "HV-2"); it["patient"]!["birthDate"] = "never"; });
        var reading = EncounterReader.Read(document, Options);

        Assert.Equal(["/patient/birthDate"], reading.Problems.Select(problem => problem.Pointer));
        Assert.Equal(HearingChange.Sudden, ReadableFacts.From(reading.Document, reading.Problems)!.Ears[0].Hearing!.Change);
    }

    private static EncounterReaderOptions Options { get; } = new() { AllowTestNhsNumbers = true, Vocabularies = [Vocabularies.HarbourLane] };

    private static EncounterReading Read(Action<JsonObject> change) => EncounterReader.Read(Fixture.FinishedWith(change), Options);

    /// <summary>The fixture in the clinic's own codes, wherever its maps speak.</summary>
    private static void Own(JsonObject it)
    {
        it["vocabulary"] = Vocabularies.Use();
        it["practitioner"]!["role"] = "RN";
        Set(it, "ears/0/side", "R");
        Set(it, "ears/1/side", "L");
        Set(it, "images/0/side", "R");
        Set(it, "ears/0/hearing/change", "HV-1");
        Set(it, "ears/0/deposits/0/occlusion", "OC-2");
        Set(it, "ears/0/after/drum/appearance", "DA-1");
    }

    private static void Set(JsonObject it, string place, string code)
    {
        var parts = place.Split('/');
        JsonNode at = it;
        foreach (var part in parts[..^1])
        {
            at = (int.TryParse(part, out var index) ? at[index] : at[part])!;
        }

        at[parts[^1]] = code;
    }
}
