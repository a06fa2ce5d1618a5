using EarReferral.Gateway.Intake;
using EarReferral.Triage.Decisions;

namespace EarReferral.Gateway.Tests.Intake;

public sealed class MergedQuestionsTests
{
    [Fact]
    public void Fact_that_many_rules_want_is_asked_once_and_the_most_urgent_first()
    {
        var asks = MergedQuestions.Of(
        [
            Question("R-HL-06", Tier.T2, null, new AskedFact("Is the family origin Chinese or south-east Asian?", null, ["background-family-origin-chinese-or-south-east-asian"])),
            Question("R-NE-04", Tier.T0, null, new AskedFact("Is a limb weak?", null, ["neurology-limb-weakness"]), new AskedFact("Is speech disturbed?", null, ["neurology-speech-disturbance"])),
            Question("R-TN-02", Tier.T0, DecisionSide.Left, new AskedFact("Is a limb weak?", null, ["neurology-limb-weakness"])),
            Question("R-IN-01", Tier.T0, DecisionSide.Left, new AskedFact("Does this ear hurt?", DecisionSide.Left, ["pain-present"])),
            Question("R-IN-01", Tier.T0, DecisionSide.Right, new AskedFact("Does this ear hurt?", DecisionSide.Right, ["pain-present"])),
        ]);

        Assert.Equal(["nerves", "painAndDischarge", null], asks.Select(ask => ask.Group));
        Assert.Equal(["T0", "T0", "T2"], asks.Select(ask => ask.Tier));
        Assert.Equal(["R-NE-04", "R-TN-02"], asks[0].Rules);
        Assert.Equal([new ReceiptPlace("neurology-limb-weakness", null), new ReceiptPlace("neurology-speech-disturbance", null)], asks[0].Findings);
        Assert.Equal([new ReceiptPlace("pain-present", "left"), new ReceiptPlace("pain-present", "right")], asks[1].Findings);
        Assert.Equal("Is the family origin Chinese or south-east Asian?", asks[2].Text);
    }

    private static OpenQuestion Question(string rule, Tier tier, DecisionSide? side, params AskedFact[] facts) =>
        new(rule, tier, side, string.Join(' ', facts.Select(fact => fact.Question)), [.. facts.SelectMany(fact => fact.FindingCodes)]) { Facts = facts };
}
