using EarReferral.Delivery.Decisions;
using EarReferral.Referrals.Clocks;

namespace EarReferral.Delivery.Tests.Decisions;

public sealed class BackoffTests
{
    private const string Referral = "3f1f9d5c-8d55-4b55-a1b6-0b9d9f0c7a11";

    [Fact]
    public void Same_referral_and_attempt_wait_equally_long_on_every_machine() =>
        Assert.Equal(Wait(3, TimeSpan.FromMinutes(10)), Wait(3, TimeSpan.FromMinutes(10)));

    [Fact]
    public void Referrals_that_failed_together_come_back_apart()
    {
        var waits = Enumerable.Range(0, 100).Select(number => Backoff.Wait($"referral-{number}", 1, TimeSpan.FromMinutes(10), ReferralUrgency.Urgent)).ToHashSet();

        Assert.Equal(100, waits.Count);
    }

    [Theory]
    [InlineData(0, 5)] // the floor
    [InlineData(60, 30)] // half the age
    [InlineData(1_000_000, 1800)] // the cap for an urgent referral
    public void Wait_is_half_the_age_between_floor_and_cap_give_or_take_a_fifth(int ageSeconds, int seconds)
    {
        for (var attempt = 1; attempt <= 50; attempt++)
        {
            Assert.InRange(Wait(attempt, TimeSpan.FromSeconds(ageSeconds)).TotalSeconds, seconds * 0.8, seconds * 1.2);
        }
    }

    [Fact]
    public void Attempts_of_an_emergency_never_stop_and_never_lie_more_than_two_minutes_apart()
    {
        var age = TimeSpan.Zero;
        for (var attempt = 1; attempt <= 500; attempt++)
        {
            var wait = Backoff.Wait(Referral, attempt, age, ReferralUrgency.Emergency);
            Assert.InRange(wait, TimeSpan.FromSeconds(4), TimeSpan.FromMinutes(2));
            age += wait;
        }
    }

    [Fact]
    public void Less_urgent_waits_at_least_as_long()
    {
        var caps = Enum.GetValues<ReferralUrgency>().Select(Backoff.Cap).ToList();

        Assert.Equal(caps.Order(), caps);
    }

    private static TimeSpan Wait(int attempt, TimeSpan age) => Backoff.Wait(Referral, attempt, age, ReferralUrgency.Urgent);
}
