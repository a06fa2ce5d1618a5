using EarReferral.Delivery.Decisions;
using EarReferral.Storage.Sending;

namespace EarReferral.Delivery.Tests.Decisions;

public sealed class BreakerPolicyTests
{
    private static readonly DateTimeOffset Now = new(2026, 3, 2, 10, 0, 0, TimeSpan.Zero);
    private static readonly BreakerState Closed = new(BreakerPosition.Closed, null, 0);

    [Fact]
    public void Fifth_failure_in_a_row_opens()
    {
        var state = Closed;
        for (var failure = 1; failure <= 4; failure++)
        {
            state = BreakerPolicy.AfterFailure(state, Now);
            Assert.Equal(new BreakerState(BreakerPosition.Closed, null, failure), state);
        }

        Assert.Equal(new BreakerState(BreakerPosition.Open, Now.AddSeconds(30), 5), BreakerPolicy.AfterFailure(state, Now));
    }

    [Fact]
    public void Answer_to_the_one_try_closes() =>
        Assert.Equal(Closed, BreakerPolicy.AfterAnswer(new BreakerState(BreakerPosition.HalfOpen, Now.AddMinutes(2), 5), Now));

    [Fact]
    public void Failure_of_the_one_try_opens_again() =>
        Assert.Equal(BreakerPosition.Open, BreakerPolicy.AfterFailure(new BreakerState(BreakerPosition.HalfOpen, Now.AddMinutes(2), 5), Now).Position);

    [Fact]
    public void Answer_on_another_lane_does_not_end_a_pause_that_was_asked_for()
    {
        var paused = BreakerPolicy.AfterThrottling(Closed, Now.AddMinutes(5));

        Assert.Equal(Now.AddMinutes(5), BreakerPolicy.AfterAnswer(paused, Now).Until);
        Assert.Equal(Now.AddMinutes(5), BreakerPolicy.AfterFailure(paused, Now).Until);
        Assert.Equal(Now.AddMinutes(5), BreakerPolicy.AfterThrottling(paused, Now.AddMinutes(1)).Until);
        Assert.Equal(Closed, BreakerPolicy.AfterAnswer(paused, Now.AddMinutes(5)));
    }
}
