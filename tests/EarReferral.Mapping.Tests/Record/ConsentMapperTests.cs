using EarReferral.Encounters;
using EarReferral.Mapping.Tests.Support;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Tests.Record;

public sealed class ConsentMapperTests
{
    [Fact]
    public void Each_use_that_was_answered_is_a_consent_of_its_own_and_not_asked_is_none()
    {
        var consents = Consents(new ConsentRecord
        {
            Treatment = Answer.Yes,
            SharingWithGp = Answer.No,
            SharingWithEnt = Answer.NotAsked,
            At = Visits.Start.AddMinutes(5),
        });

        Assert.Equal(
            [("treatment", Consent.ConsentProvisionType.Permit), ("sharing-with-gp", Consent.ConsentProvisionType.Deny)],
            consents.Select(consent => (Use(consent), consent.Provision!.Type!.Value)));
        Assert.All(consents, consent => Assert.Equal((Consent.ConsentState.Active, "2026-03-31T09:35:00+01:00"), (consent.Status!.Value, consent.DateTime)));
    }

    [Fact]
    public void Refusal_to_share_names_whom_it_keeps_out()
    {
        var refusal = Assert.Single(Consents(new ConsentRecord { Treatment = Answer.NotAsked, SharingWithGp = Answer.No }));

        // HL7 v3 ParticipationType, IRCP: information recipient.
        var actor = Assert.Single(refusal.Provision!.Actor);
        Assert.Equal("IRCP", actor.Role!.Coding[0].Code);
        Assert.StartsWith("Organization/", actor.Reference!.Reference, StringComparison.Ordinal);
        Assert.Contains("refused", refusal.Text!.Div, StringComparison.Ordinal);
    }

    [Fact]
    public void How_it_was_asked_stands_in_words_with_the_agreement_to_the_procedure()
    {
        var consents = Consents(new ConsentRecord { Treatment = Answer.Yes, RisksExplained = Answer.Yes, Form = ConsentForm.Written, GivenBy = "the mother <Ada>", UseBeyondCare = Answer.No });

        Assert.Contains("Risks were explained before", consents[0].Text!.Div, StringComparison.Ordinal);
        Assert.Contains("Form: written", consents[0].Text!.Div, StringComparison.Ordinal);
        Assert.All(consents, consent => Assert.Contains("the mother &lt;Ada&gt;", consent.Text!.Div, StringComparison.Ordinal));
        Assert.DoesNotContain("Risks", consents[1].Text!.Div, StringComparison.Ordinal);
    }

    [Fact]
    public void Consents_are_sound_r4()
    {
        foreach (var consent in Consents(new ConsentRecord { Treatment = Answer.Yes, RecordingImages = Answer.No, SharingWithGp = Answer.Yes, SharingWithEnt = Answer.Yes, UseBeyondCare = Answer.No }))
        {
            Assert.Empty(R4Schema.Problems(consent));
        }
    }

    [Fact]
    public void Consents_stay_at_home_when_a_referral_leaves() =>
        Assert.DoesNotContain(ExampleVisits.Names.Select(name => ExampleVisits.Run(name).Bundle).SelectMany(bundle => bundle.Entry), entry => entry.Resource is Consent);

    private static IReadOnlyList<Consent> Consents(ConsentRecord answers) => Visits.Record(Visits.Of(Visits.Cleared(EarSide.Right)) with { Consent = answers }).Consents;

    private static string Use(Consent consent) => consent.Category[0].Coding.Single(coding => coding.System!.EndsWith("/consent-use", StringComparison.Ordinal)).Code!;
}
