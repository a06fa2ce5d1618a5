using EarReferral.Delivery.Decisions;

namespace EarReferral.Delivery.Tests.Decisions;

public sealed class AttemptHistoryTests
{
    private static readonly DateTimeOffset Start = new(2026, 3, 2, 10, 0, 0, TimeSpan.Zero);

    [Theory]
    [InlineData(0, "unavailable")]
    [InlineData(2, "unavailable", "intermediary-answered", "intermediary-answered")]
    [InlineData(0, "intermediary-answered", "timed-out")] // the run was broken
    public void Answers_of_a_proxy_in_a_row_are_counted_from_the_end(int expected, params string[] words)
    {
        var history = AttemptHistory.Read([.. words.Select((word, index) => (Start.AddMinutes(index), word))], null);

        Assert.Equal(expected, history.IntermediaryRun);
    }

    [Fact]
    public void First_attempt_needs_no_probe() => Assert.Null(AttemptHistory.Read([], null).Probe);

    [Fact]
    public void Attempt_that_began_and_never_ended_makes_the_next_one_probe() =>
        Assert.Equal(ProbeReason.EarlierAttemptOpen, AttemptHistory.Read([], Start).Probe);

    [Theory]
    [InlineData("timed-out", true)] // it may have been stored
    [InlineData("unavailable", true)]
    [InlineData("stopped", true)] // our own service stopped in the middle
    [InlineData("not-connected", false)] // nothing left this machine
    [InlineData("throttled", false)] // RFC 6585 4: refused before processing
    [InlineData("rejected-by-rule", false)] // refused as a whole; a person sends it again
    [InlineData("endpoint-wrong", false)]
    public void Last_word_decides_whether_the_receiver_is_asked_first(string word, bool probes) =>
        Assert.Equal(probes, AttemptHistory.Read([(Start, word)], Start).Probe is ProbeReason.EarlierAttemptOpen);

    [Fact]
    public void Unconfirmed_duplicate_stays_one_even_if_our_own_service_stopped_meanwhile() =>
        Assert.Equal(
            ProbeReason.ReportedDuplicate,
            AttemptHistory.Read([(Start, "duplicate-unconfirmed"), (Start.AddMinutes(1), "stopped")], Start.AddMinutes(1)).Probe);

    [Fact]
    public void Person_may_send_again_what_the_probe_did_not_find() =>
        Assert.Null(AttemptHistory.Read([(Start, "duplicate-unconfirmed"), (Start.AddMinutes(1), "duplicate-not-found")], Start.AddMinutes(1)).Probe);

    [Fact]
    public void Every_word_of_a_retry_is_known_to_leave_the_attempt_open_or_not()
    {
        var closed = Enum.GetValues<RetryReason>().Where(reason => !OutcomeWords.LeavesOpen(OutcomeWords.Word(reason)));

        Assert.Equal([RetryReason.NotConnected, RetryReason.NoToken, RetryReason.NotProcessedInTime, RetryReason.Throttled], closed);
    }
}
