using EarReferral.Referrals.Clocks;
using EarReferral.Referrals.LaterVisits;

namespace EarReferral.Referrals.Tests.LaterVisits;

/// <summary>What a visit is to an open referral, case by case (decision 0029; our own rule, no source).</summary>
public sealed class LaterVisitTests
{
    private static readonly DateTimeOffset Day = new(2026, 3, 2, 10, 0, 0, TimeSpan.Zero);

    [Theory]
    [InlineData(ReferralUrgency.Urgent, "R-X-1/left", ReferralUrgency.Urgent, "R-X-1/left", LaterVisitRelation.Adds)]
    [InlineData(ReferralUrgency.Urgent, "R-X-1/left", ReferralUrgency.Routine, "R-X-1/left", LaterVisitRelation.Adds)]
    [InlineData(ReferralUrgency.Urgent, "R-X-1/left R-X-2/left", ReferralUrgency.Urgent, "R-X-1/left", LaterVisitRelation.Adds)]
    [InlineData(ReferralUrgency.Immediate, "R-X-1", ReferralUrgency.Urgent, "R-X-1", LaterVisitRelation.Adds)]
    [InlineData(ReferralUrgency.Routine, "R-X-1/left", ReferralUrgency.Urgent, "R-X-1/left", LaterVisitRelation.Replaces)]
    [InlineData(ReferralUrgency.Routine, "R-X-1/left", ReferralUrgency.SuspectedCancer, "R-X-1/left R-X-9/left", LaterVisitRelation.Replaces)]
    [InlineData(ReferralUrgency.SuspectedCancer, "R-X-1/left", ReferralUrgency.Urgent, "R-X-1/left", LaterVisitRelation.Replaces)]
    [InlineData(ReferralUrgency.Immediate, "R-X-1/left", ReferralUrgency.Immediate, "R-X-1/left", LaterVisitRelation.Replaces)]
    [InlineData(ReferralUrgency.Emergency, "R-X-1/left", ReferralUrgency.Immediate, "R-X-1/left", LaterVisitRelation.Replaces)]
    [InlineData(ReferralUrgency.Urgent, "R-X-1/left", ReferralUrgency.Urgent, "R-X-1/left R-X-2/left", LaterVisitRelation.Separate)]
    [InlineData(ReferralUrgency.Urgent, "R-X-1/left", ReferralUrgency.Urgent, "R-X-1/right", LaterVisitRelation.Separate)]
    [InlineData(ReferralUrgency.Urgent, "R-X-1/left", ReferralUrgency.Urgent, "R-X-2/left", LaterVisitRelation.Separate)]
    [InlineData(ReferralUrgency.Urgent, "R-X-1/left", ReferralUrgency.Immediate, "R-X-2/left", LaterVisitRelation.Separate)]
    [InlineData(ReferralUrgency.Urgent, "R-X-1/left", ReferralUrgency.Urgent, "", LaterVisitRelation.Separate)]
    public void Relation_FollowsFromReasonEarAndUrgency(ReferralUrgency open, string openConcerns, ReferralUrgency urgency, string concerns, LaterVisitRelation expected) =>
        Assert.Equal(expected, Of(urgency, concerns, true, Open("a", open, openConcerns))?.Relation);

    [Fact]
    public void NoOpenReferral_IsNoLaterVisit() => Assert.Null(Of(ReferralUrgency.Urgent, "R-X-1/left", true));

    [Fact]
    public void VisitThatMustHaveItsOwn_IsNeverOnlyAdded() =>
        Assert.Equal(LaterVisitRelation.Separate, Of(ReferralUrgency.Urgent, "R-X-1/left", false, Open("a", ReferralUrgency.Urgent, "R-X-1/left"))!.Relation);

    [Fact]
    public void ReferralOfALaterVisit_IsNotLookedAt() =>
        Assert.Null(Of(ReferralUrgency.Urgent, "R-X-1/left", true, Open("a", ReferralUrgency.Urgent, "R-X-1/left", days: 1)));

    [Fact]
    public void ReferralThatItWasTiedTo_StaysTheOne()
    {
        var tied = Open("old", ReferralUrgency.Urgent, "R-X-1/left", days: -40) with { IsKept = true };

        Assert.Equal("old", Of(ReferralUrgency.Urgent, "R-X-1/left", true, Open("new", ReferralUrgency.Urgent, "R-X-1/left"), tied)!.Open.Id);
    }

    [Fact]
    public void OneOfTwoThatIsAsUrgent_KeepsItFromReplacing() =>
        Assert.Equal(
            (LaterVisitRelation.Adds, "urgent"),
            Of(ReferralUrgency.Urgent, "R-X-1/left", true, Open("routine", ReferralUrgency.Routine, "R-X-1/left"), Open("urgent", ReferralUrgency.Urgent, "R-X-1/left", -9)) is { } visit ? (visit.Relation, visit.Open.Id) : default);

    private static LaterVisit? Of(ReferralUrgency urgency, string concerns, bool mayAdd, params OpenRequest[] open) => LaterVisit.Of(urgency, Words(concerns), Day, mayAdd, open);

    private static OpenRequest Open(string id, ReferralUrgency urgency, string concerns, int days = -7) => new(id, urgency, Words(concerns), Day.AddDays(days), IsKept: false);

    private static string[] Words(string text) => text.Split(' ', StringSplitOptions.RemoveEmptyEntries);
}
