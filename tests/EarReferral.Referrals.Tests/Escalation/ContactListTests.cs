using EarReferral.Referrals.Clocks;
using EarReferral.Referrals.Escalation;

namespace EarReferral.Referrals.Tests.Escalation;

public sealed class ContactListTests
{
    private static readonly ContactList List = new(
    [
        new EscalationStep("on duty", ["pager", "mail"], new Dictionary<ReferralUrgency, TimeSpan> { [ReferralUrgency.Emergency] = TimeSpan.FromMinutes(2) }),
        new EscalationStep("lead", ["lead-mail", "mail"], new Dictionary<ReferralUrgency, TimeSpan>()),
    ]);

    [Theory]
    [InlineData(0, "on duty")]
    [InlineData(1, "lead")]
    [InlineData(2, "on duty")] // nobody acknowledged: it begins anew and never falls silent
    [InlineData(7, "lead")]
    public void Steps_FollowEachOtherWithoutAnEnd(int step, string name) => Assert.Equal(name, List.At(step).Name);

    [Fact]
    public void WhereAStepCannotBeReached_TheNextOnesAreTriedInOrder()
    {
        Assert.Equal(["pager", "mail", "lead-mail"], List.Channels(0));
        Assert.Equal(["lead-mail", "mail", "pager"], List.Channels(1));
    }

    [Theory]
    [InlineData(ReferralUrgency.Emergency, 2)] // the site's own
    [InlineData(ReferralUrgency.Immediate, 15)]
    [InlineData(ReferralUrgency.Urgent, 240)]
    [InlineData(ReferralUrgency.SuspectedCancer, 240)]
    [InlineData(ReferralUrgency.Routine, 1440)]
    public void Wait_IsTheSitesOwnOrOurs(ReferralUrgency urgency, int minutes) => Assert.Equal(TimeSpan.FromMinutes(minutes), List.At(0).Wait(urgency));
}
