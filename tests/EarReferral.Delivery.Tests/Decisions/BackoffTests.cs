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
    [InlineData(90_000, 1800)] // the cap for an urgent referral, up to fifty times its own length
    [InlineData(180_000, 3600)] // from then on a fiftieth of the age
    [InlineData(1_000_000, 7200)] // never longer than for a routine one
    public void Wait_is_half_the_age_between_floor_and_cap_give_or_take_a_fifth(int ageSeconds, int seconds)
    {
        for (var attempt = 1; attempt <= 50; attempt++)
        {
            Assert.InRange(Wait(attempt, TimeSpan.FromSeconds(ageSeconds)).TotalSeconds, seconds * 0.8, seconds * 1.2);
        }
    }

    [Theory]
    [InlineData(1, 2)] // in the first hours a minute, spread by a fifth
    [InlineData(24, 36)] // after a day a fiftieth of it
    [InlineData(24 * 30, 145)] // after a month two hours, and it goes on
    public void Attempts_of_an_emergency_never_stop_and_grow_apart_with_the_age_of_the_trouble(int hours, int minutesAtMost)
    {
        var age = TimeSpan.Zero;
        for (var attempt = 1; age < TimeSpan.FromHours(hours); attempt++)
        {
            var wait = Backoff.Wait(Referral, attempt, age, ReferralUrgency.Emergency);
            Assert.InRange(wait, TimeSpan.FromSeconds(4), TimeSpan.FromMinutes(minutesAtMost));
            age += wait;
        }
    }

    [Fact]
    public void Less_urgent_waits_at_least_as_long()
    {
        var caps = Enum.GetValues<ReferralUrgency>().Select(urgency => Backoff.Cap(urgency)).ToList();

        Assert.Equal(caps.Order(), caps);
    }

    private static TimeSpan Wait(int attempt, TimeSpan age) => Backoff.Wait(Referral, attempt, age, ReferralUrgency.Urgent);
}
