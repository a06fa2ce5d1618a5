using EarReferral.Referrals.Clocks;

namespace EarReferral.Referrals.Tests.Clocks;

public sealed class ReferralClocksTests
{
    private static readonly DateTimeOffset Decided = new(2026, 3, 2, 10, 0, 0, TimeSpan.Zero);

    [Fact]
    public void Nothing_delivered_expires_the_delivery_clock_and_starts_no_other()
    {
        var readings = Read(new ReferralTimeline(Decided), ReferralUrgency.Immediate, Decided.AddMinutes(15));

        Assert.Equal(ClockState.Expired, readings[ReferralClock.Deliver].State);
        Assert.All(readings.Values.Where(reading => reading.Clock is not ReferralClock.Deliver), reading => Assert.Equal(ClockState.NotStarted, reading.State));
    }

    [Fact]
    public void Delivery_clock_runs_until_its_very_last_moment()
    {
        var readings = Read(new ReferralTimeline(Decided), ReferralUrgency.Immediate, Decided.AddMinutes(15).AddTicks(-1));

        Assert.Equal(ClockState.Running, readings[ReferralClock.Deliver].State);
    }

    [Fact]
    public void Late_delivery_is_kept_apart_from_delivery_in_time()
    {
        var readings = Read(new ReferralTimeline(Decided, DeliveredAt: Decided.AddMinutes(16)), ReferralUrgency.Immediate, Decided.AddHours(2));

        Assert.Equal(ClockState.StoppedLate, readings[ReferralClock.Deliver].State);
    }

    [Fact]
    public void Slow_delivery_gives_the_acknowledgement_no_extra_time()
    {
        var delivered = Decided.AddHours(2);

        var reading = Read(new ReferralTimeline(Decided, DeliveredAt: delivered), ReferralUrgency.Immediate, delivered)[ReferralClock.Acknowledge];

        Assert.Equal(ClockState.Expired, reading.State);
        Assert.Equal(delivered, reading.StartedAt);
        Assert.Equal(Decided.AddHours(1), reading.ExpiresAt);
    }

    [Fact]
    public void Outcome_counts_from_the_visit()
    {
        var visit = Decided.AddDays(10);

        var reading = Read(new ReferralTimeline(Decided, VisitAt: visit), ReferralUrgency.Urgent, visit)[ReferralClock.Outcome];

        Assert.Equal(visit.AddDays(7), reading.ExpiresAt);
    }

    [Fact]
    public void Reply_to_an_earlier_question_does_not_stop_the_clock_of_a_new_one()
    {
        var timeline = new ReferralTimeline(Decided, QuestionAt: Decided.AddHours(5), ReplyAt: Decided.AddHours(4));

        var reading = Read(timeline, ReferralUrgency.Urgent, Decided.AddHours(6))[ReferralClock.InformationReply];

        Assert.Equal(ClockState.Running, reading.State);
    }

    [Fact]
    public void Whole_journey_in_time_leaves_no_clock_running()
    {
        var timeline = new ReferralTimeline(
            Decided, Decided.AddMinutes(1), Decided.AddHours(1), Decided.AddHours(20), Decided.AddHours(20), Decided.AddHours(21), Decided.AddDays(6), Decided.AddDays(7), Decided.AddHours(2), Decided.AddHours(3));

        Assert.All(Read(timeline, ReferralUrgency.Urgent, Decided.AddDays(100)).Values, reading => Assert.Equal(ClockState.Stopped, reading.State));
    }

    [Theory]
    [InlineData(ReferralUrgency.Emergency, 4)] // the tier's own limit
    [InlineData(ReferralUrgency.Immediate, 24)] // NICE NG98 1.1.2: seen within 24 hours
    [InlineData(ReferralUrgency.Urgent, 14 * 24)] // NICE NG98 1.1.2: seen within 2 weeks
    [InlineData(ReferralUrgency.SuspectedCancer, 14 * 24)] // first contact, local habit
    [InlineData(ReferralUrgency.Routine, 126 * 24)] // NHS Constitution: 18 weeks
    public void Clocks_counted_from_the_decision_run_out_in_order_and_before_the_tier_does(ReferralUrgency urgency, int tierHours)
    {
        ReferralClock[] inOrder = [ReferralClock.Deliver, ReferralClock.Acknowledge, ReferralClock.TriageOutcome, ReferralClock.Appointment];
        var limits = inOrder.Select(clock => ClockLimits.Default.For(urgency, clock)).ToList();

        Assert.Equal(limits.Order(), limits);
        Assert.True(limits[^1] < TimeSpan.FromHours(tierHours));
    }

    [Fact]
    public void Every_clock_has_a_definition_and_a_limit_for_every_urgency()
    {
        Assert.Equal(Enum.GetValues<ReferralClock>(), ClockDefinition.All.Select(definition => definition.Clock));
        foreach (var urgency in Enum.GetValues<ReferralUrgency>())
        {
            Assert.All(Enum.GetValues<ReferralClock>(), clock => Assert.True(ClockLimits.Default.For(urgency, clock) > TimeSpan.Zero));
        }
    }

    [Fact]
    public void Deliver_by_is_the_expiry_of_the_delivery_clock()
    {
        var reading = Read(new ReferralTimeline(Decided), ReferralUrgency.Emergency, Decided)[ReferralClock.Deliver];

        Assert.Equal(reading.ExpiresAt, ReferralClocks.DeliverBy(Decided, ReferralUrgency.Emergency, ClockLimits.Default));
    }

    private static Dictionary<ReferralClock, ClockReading> Read(ReferralTimeline timeline, ReferralUrgency urgency, DateTimeOffset now) =>
        ReferralClocks.At(timeline, urgency, ClockLimits.Default, EnglishCalendar.Value, now).ToDictionary(reading => reading.Clock);
}
