using EarReferral.Encounters;
using EarReferral.Mapping.Record;
using EarReferral.Mapping.Referral;
using EarReferral.Mapping.Tests.Support;
using EarReferral.Triage.Decisions;

namespace EarReferral.Mapping.Tests.Referral;

public sealed class RuleEvidenceTests
{
    private static readonly ClinicEncounter Visit = Visits.Of(Visits.Cleared(EarSide.Right) with
    {
        Discharge = new EarDischarge { Present = Answer.Yes, Kind = DischargeKind.Foul },
        Hearing = new Hearing { Before = HearingLevel.None, Change = HearingChange.None },
    }) with
    { Background = new Background { Diabetes = Answer.No, Anticoagulant = Answer.NotAsked } };

    [Theory]
    [InlineData("discharge-present", true, "affirmed")]
    [InlineData("discharge-kind", true, "coded")]
    [InlineData("hearing-before", true, "no hearing at all is a finding, although its code is none")]
    [InlineData("hearing-change", false, "no change of hearing is a denial")]
    [InlineData("background-diabetes", false, "denied")]
    [InlineData("background-anticoagulant", false, "not asked")]
    public void Only_what_was_found_is_evidence(string code, bool evidence, string reason)
    {
        Assert.NotEmpty(reason);
        var record = Visits.Record(Visit);

        Assert.Equal(evidence, RuleEvidence.Of(Rule(record, code), record).Count == 1);
    }

    [Fact]
    public void Sentence_names_what_was_found()
    {
        var record = Visits.Record(Visit);

        Assert.Equal("Right ear: Reason of R-IN-06. Found: ear discharge; ear discharge: kind: foul.", RuleEvidence.Sentence(Rule(record, "background-diabetes", "discharge-present", "discharge-kind"), record));
    }

    [Fact]
    public void Editors_marks_stay_out_of_letters()
    {
        var record = Visits.Record(Visit);
        var rule = Rule(record, "discharge-present");
        var referral = ReferralMapper.Map(Visit, record, Decisions.Of(Visit, [rule]), Visits.Identity, Decisions.Ent)!;

        Assert.Equal("NICE NG127, limb or facial weakness", RuleEvidence.Source(rule));
        Assert.DoesNotContain("memory", FhirText(referral), StringComparison.Ordinal);
        Assert.DoesNotContain("issuing body", FhirText(referral), StringComparison.Ordinal);
    }

    private static string FhirText(ReferralResources referral) =>
        string.Concat(referral.Resources.Select(resource => System.Text.Encoding.UTF8.GetString(FhirJson.Serialise(resource))));

    private static FiredRule Rule(EncounterRecord record, params string[] codes) => Decisions.Rule(
        Visit,
        "R-IN-06",
        Tier.T2,
        "ent",
        DecisionSide.Right,
        [.. codes.Select(code => record.Observations.First(observation => observation.Code!.Coding.Exists(coding => coding.Code == code)))]);
}
