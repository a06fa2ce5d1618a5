using System.Text.Json;
using EarReferral.Delivery.Tests.Fixtures;
using EarReferral.Delivery.Working;
using EarReferral.Storage;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Sending;
using static EarReferral.Delivery.Tests.Fixtures.EntReceiver;

namespace EarReferral.Delivery.Tests.Working;

/// <summary>Test vectors S01 to S22 of the project's sending rules, against a scripted receiver and a real SQLite store.</summary>
public sealed class CourierTests
{
    private static CancellationToken Cancellation => TestContext.Current.CancellationToken;

    [Fact] // S01
    public async Task Unavailable_twice_then_stored_sends_identical_bytes_and_keys_three_times()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        fixture.Receiver.Answers(Status(503), Status(503));
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();
        await fixture.DeliverWhenPlannedAsync();
        await fixture.DeliverWhenPlannedAsync();

        var sends = fixture.Receiver.Sends;
        var stored = await fixture.FindAsync(id);
        Assert.Equal(3, sends.Count);
        Assert.All(sends, send =>
        {
            Assert.Equal(stored.Request.ToArray(), send.BodyAsBytes);
            Assert.Equal([stored.IdempotencyKey], Header(send, "X-Request-Id"));
            Assert.Equal([$"\"{stored.IdempotencyKey}\""], Header(send, "Idempotency-Key"));
            Assert.Equal([stored.CorrelationId], Header(send, "X-Correlation-Id"));
            Assert.Equal(["application/fhir+json"], Header(send, "Content-Type"));
            Assert.Equal(["return=minimal"], Header(send, "Prefer"));
        });
        Assert.Equal(ReferralState.Delivered, stored.State);
        Assert.Equal(1, fixture.Receiver.Created);
        Assert.Equal(["unavailable", "unavailable", "delivered"], await fixture.OutcomesAsync(id));
    }

    [Fact] // S02
    public async Task Connection_reset_after_storing_is_found_by_the_probe_and_not_sent_again()
    {
        CuttingProxy? proxy = null;
        await using var fixture = await DeliveryFixture.StartAsync(receiver => (proxy = new CuttingProxy(receiver.Port, cuts: 1)).BaseUrl);
        using var cutting = proxy;
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();
        await fixture.DeliverWhenPlannedAsync();

        Assert.Equal(["connection-lost", "delivered"], await fixture.OutcomesAsync(id));
        Assert.Equal(1, fixture.Receiver.Created);
        Assert.Single(fixture.Receiver.Sends);
        Assert.Contains("ServiceRequest/9", (await fixture.FindAsync(id)).Locations, StringComparison.Ordinal);
    }

    [Fact] // S02 with a receiver that cannot search
    public async Task Connection_reset_at_a_receiver_without_search_sends_the_same_keys_again()
    {
        CuttingProxy? proxy = null;
        await using var fixture = await DeliveryFixture.StartAsync(receiver => (proxy = new CuttingProxy(receiver.Port, cuts: 1)).BaseUrl);
        using var cutting = proxy;
        fixture.Receiver.CannotSearch = true;
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();
        await fixture.DeliverWhenPlannedAsync();

        Assert.Equal(ReferralState.Delivered, await fixture.StateAsync(id));
        Assert.Equal(1, fixture.Receiver.Created);
        Assert.Equal(2, fixture.Receiver.Sends.Count);
    }

    [Fact] // S03
    public async Task Answer_with_an_entry_too_few_is_not_delivered_and_goes_to_a_person_when_it_repeats()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        var tooFew = Status(200, Transaction("""{"response":{"status":"201"}}""", """{"response":{"status":"201"}}"""));
        fixture.Receiver.Answers(tooFew, tooFew);
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();
        Assert.Equal(ReferralState.Queued, await fixture.StateAsync(id));
        await fixture.DeliverWhenPlannedAsync();

        Assert.Equal(ReferralState.NeedsHuman, await fixture.StateAsync(id));
        Assert.Equal(["not-found-by-probe", "answers-prove-nothing"], await fixture.OutcomesAsync(id));
    }

    [Fact] // S04
    public async Task Batch_response_is_not_delivered()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        fixture.Receiver.Answers(Status(200, """
            {"resourceType":"Bundle","type":"batch-response","entry":[{"response":{"status":"201"}},{"response":{"status":"422"}},{"response":{"status":"201"}}]}
            """));
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();

        Assert.Equal(ReferralState.Queued, await fixture.StateAsync(id));
        Assert.Single(fixture.Receiver.Probes);
    }

    [Fact] // S05
    public async Task Throttled_destination_gets_nothing_before_the_time_it_asked_for()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        fixture.Receiver.Answers(Status(429, "", ("Retry-After", "7")));
        var id = await fixture.QueueAsync();
        await fixture.QueueAsync();

        await fixture.DeliverAsync();
        fixture.Clock.Advance(TimeSpan.FromSeconds(6.9));

        Assert.False(await fixture.DeliverAsync()); // neither this one nor its neighbour
        Assert.Equal(0, (await fixture.Destinations.FindAsync(DeliveryFixture.Destination, Cancellation)).Breaker.ConsecutiveFailures);
        fixture.Clock.Advance(TimeSpan.FromSeconds(0.2));
        Assert.True(await fixture.DeliverAsync());
        Assert.True(await fixture.DeliverAsync());
        Assert.Equal(ReferralState.Delivered, await fixture.StateAsync(id));
        Assert.Equal(2, fixture.Receiver.Created);
    }

    [Fact] // S06
    public async Task Date_to_come_back_is_measured_on_the_clock_of_the_receiver()
    {
        await using var fixture = await DeliveryFixture.StartAsync();

        // The web server sets Date from the real clock, which is months away from the clock of this test.
        fixture.Receiver.Answers(_ => Message(503, "", ("Retry-After", TimeProvider.System.GetUtcNow().AddSeconds(90).ToString("r"))));
        await fixture.QueueAsync("T3");

        await fixture.DeliverAsync();

        Assert.InRange(await fixture.DeliverWhenPlannedAsync(), TimeSpan.FromSeconds(80), TimeSpan.FromSeconds(91));
    }

    [Theory]
    [InlineData("soon")] // S07
    [InlineData("Sun, 06 Nov 1994 08:49:37 GMT")] // S06, in the past
    public async Task Useless_time_to_come_back_leaves_the_wait_to_our_own_backoff(string retryAfter)
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        fixture.Receiver.Answers(Status(503, "", ("Retry-After", retryAfter)));
        await fixture.QueueAsync();

        await fixture.DeliverAsync();

        Assert.InRange(await fixture.DeliverWhenPlannedAsync(), TimeSpan.FromSeconds(4), TimeSpan.FromSeconds(6));
    }

    [Fact] // S08
    public async Task Duplicate_that_the_probe_confirms_is_delivered_without_another_send()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        fixture.Receiver.Answers(request =>
        {
            fixture.Receiver.Keep(request);
            return Outcome(409, ("error", "duplicate"))(request);
        });
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();

        Assert.Equal(ReferralState.Delivered, await fixture.StateAsync(id));
        Assert.Single(fixture.Receiver.Sends);
        Assert.Single(fixture.Receiver.Probes);
    }

    [Fact]
    public async Task Duplicate_that_cannot_be_confirmed_is_probed_again_and_never_sent_again()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        fixture.Receiver.CannotSearch = true;
        fixture.Receiver.Answers(Outcome(409, ("error", "duplicate")));
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();
        await fixture.DeliverWhenPlannedAsync();
        fixture.Receiver.CannotSearch = false;
        await fixture.DeliverWhenPlannedAsync();

        Assert.Single(fixture.Receiver.Sends);
        Assert.Equal(["duplicate-unconfirmed", "duplicate-unconfirmed", "duplicate-not-found"], await fixture.OutcomesAsync(id));
    }

    [Fact] // S09
    public async Task Several_matches_at_the_receiver_go_to_a_person_after_one_attempt()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        fixture.Receiver.Answers(Outcome(412, ("error", "multiple-matches")));
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();
        fixture.Clock.Advance(TimeSpan.FromDays(1));

        Assert.False(await fixture.DeliverAsync());
        Assert.Equal(ReferralState.NeedsHuman, await fixture.StateAsync(id));
        Assert.Equal(["multiple-matches"], await fixture.OutcomesAsync(id));
    }

    [Fact] // S10
    public async Task Refused_content_keeps_every_issue_for_the_person()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        fixture.Receiver.Answers(Outcome(422, ("error", "required"), ("error", "code-invalid"), ("warning", "business-rule")));
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();

        var attempt = Assert.Single(await fixture.AttemptsAsync(id));
        Assert.Equal(422, attempt.StatusCode);
        using var issues = JsonDocument.Parse(attempt.Issues!);
        Assert.Equal(["required", "code-invalid", "business-rule"], issues.RootElement.EnumerateArray().Select(issue => issue.GetProperty("code").GetString()));
        Assert.Equal(ReferralState.NeedsHuman, await fixture.StateAsync(id));
    }

    [Fact] // S14
    public async Task Web_page_of_a_proxy_is_tried_again()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        fixture.Receiver.Answers(Status(502, "<html><body>Bad gateway</body></html>", ("Content-Type", "text/html")));
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();
        await fixture.DeliverWhenPlannedAsync();

        Assert.Equal(["unavailable", "delivered"], await fixture.OutcomesAsync(id));
    }

    [Fact] // S16: the state that a killed process leaves behind
    public async Task Process_that_died_between_storing_and_recording_makes_the_next_one_probe_first()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        var id = await fixture.QueueAsync();
        var claim = await fixture.Outbox.ClaimAsync(DeliveryFixture.Destination, fixture.Clock.GetUtcNow(), TimeSpan.FromMinutes(2), Cancellation);
        await fixture.Referrals.AppendEventAsync(
            new Reach.Everything("test"), id, new ReferralEvent(fixture.Clock.GetUtcNow(), Courier.Sending, "delivery"), Cancellation);
        using (var http = new HttpClient())
        {
            await http.PostAsync(fixture.Receiver.BaseUrl, new ByteArrayContent(claim!.Request.ToArray()), Cancellation);
        }

        Assert.False(await fixture.DeliverAsync()); // the dead process still holds its lease
        fixture.Clock.Advance(TimeSpan.FromMinutes(2));
        Assert.True(await fixture.DeliverAsync());

        Assert.Equal(ReferralState.Delivered, await fixture.StateAsync(id));
        Assert.Equal(1, fixture.Receiver.Created);
        Assert.Single(fixture.Receiver.Sends); // only the one of the dead process
    }

    [Fact] // S18
    public async Task Asynchronous_answer_is_delivered_when_the_result_says_so()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        fixture.Receiver.Answers(Status(202, "", ("Content-Location", "/fhir/jobs/1"), ("Retry-After", "3")));
        fixture.Receiver.Jobs.Enqueue(Status(202, "", ("Retry-After", "3")));
        fixture.Receiver.Jobs.Enqueue(_ => fixture.Receiver.Store(fixture.Receiver.Sends[0]));
        var id = await fixture.QueueAsync();

        var delivering = fixture.DeliverAsync();
        while (!delivering.IsCompleted)
        {
            fixture.Clock.Advance(TimeSpan.FromMilliseconds(100));
            await Task.Delay(1, Cancellation);
        }

        Assert.Equal(ReferralState.Delivered, await fixture.StateAsync(id));
        Assert.Single(fixture.Receiver.Sends);
    }

    [Fact]
    public async Task Result_at_another_host_is_not_asked_for()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        fixture.Receiver.Answers(Status(202, "", ("Content-Location", "https://elsewhere.example/jobs/1")));
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();

        Assert.Equal(["foreign-poll-location"], await fixture.OutcomesAsync(id));
        Assert.True((await fixture.Destinations.FindAsync(DeliveryFixture.Destination, Cancellation)).Paused);
    }

    [Fact] // S22
    public async Task Answer_slower_than_the_timeout_makes_no_duplicate()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        using var arrived = new SemaphoreSlim(0);
        using var answer = new ManualResetEventSlim();
        fixture.Receiver.Answers(request =>
        {
            arrived.Release();
            answer.Wait(TimeSpan.FromSeconds(30));
            return fixture.Receiver.Store(request);
        });
        var id = await fixture.QueueAsync();

        var delivering = fixture.DeliverAsync();
        await arrived.WaitAsync(Cancellation);
        fixture.Clock.Advance(TimeSpan.FromSeconds(31));
        await delivering;
        answer.Set();
        while (fixture.Receiver.Created == 0)
        {
            await Task.Delay(5, Cancellation);
        }

        await fixture.DeliverWhenPlannedAsync();

        Assert.Equal(["timed-out", "delivered"], await fixture.OutcomesAsync(id));
        Assert.Equal(1, fixture.Receiver.Created);
        Assert.Single(fixture.Receiver.Sends);
    }

    [Theory]
    [InlineData(307)] // body and token would travel on
    [InlineData(302)]
    public async Task Redirect_is_not_followed_and_parks_the_destination(int status)
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        fixture.Receiver.Answers(Status(status, "", ("Location", fixture.Receiver.BaseUrl.AbsoluteUri)));
        var id = await fixture.QueueAsync();
        await fixture.QueueAsync();

        await fixture.DeliverAsync();
        fixture.Clock.Advance(TimeSpan.FromHours(1));

        Assert.False(await fixture.DeliverAsync());
        Assert.Single(fixture.Receiver.Sends);
        Assert.Equal(ReferralState.Queued, await fixture.StateAsync(id)); // nothing is dropped
        Assert.True((await fixture.Destinations.FindAsync(DeliveryFixture.Destination, Cancellation)).Paused);
    }

    [Fact]
    public async Task Nobody_listening_leaves_the_referral_queued()
    {
        await using var fixture = await DeliveryFixture.StartAsync(_ => new Uri("http://127.0.0.1:9/fhir"));
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();

        Assert.Equal(["not-connected"], await fixture.OutcomesAsync(id));
        Assert.Equal(ReferralState.Queued, await fixture.StateAsync(id));
    }

    [Fact]
    public async Task Referral_taken_back_meanwhile_is_not_sent_again()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        fixture.Receiver.Answers(Status(503));
        var id = await fixture.QueueAsync();
        await fixture.DeliverAsync();

        await fixture.RevokeAsync(id);
        fixture.Clock.Advance(TimeSpan.FromDays(1));

        Assert.False(await fixture.DeliverAsync());
        Assert.Single(fixture.Receiver.Sends);
        Assert.Equal(["unavailable"], await fixture.OutcomesAsync(id));
        Assert.Equal(ReferralState.WithdrawnAfterSending, await fixture.StateAsync(id)); // the receiver may have it, so somebody must tell them
    }

    [Fact]
    public async Task Task_cancelled_meanwhile_is_not_sent()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        var id = await fixture.QueueAsync();
        await fixture.CancelAsync(id);

        await fixture.DeliverAsync();

        Assert.Empty(fixture.Receiver.Sends);
        Assert.Equal(["withdrawn"], await fixture.OutcomesAsync(id));
    }

    [Fact]
    public async Task Error_page_of_a_proxy_parks_nothing_and_is_raised_to_a_person_once()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        fixture.Receiver.Answers([.. Enumerable.Repeat(Status(404, "<html>no such host here</html>"), 6)]);
        var id = await fixture.QueueAsync("T3");

        await fixture.DeliverAsync();
        for (var attempt = 2; attempt <= 6; attempt++)
        {
            fixture.Clock.Advance(TimeSpan.FromHours(3));
            Assert.True(await fixture.DeliverAsync());
        }

        Assert.False((await fixture.Destinations.FindAsync(DeliveryFixture.Destination, Cancellation)).Paused);
        Assert.Equal(Enumerable.Repeat("intermediary-answered", 6), await fixture.OutcomesAsync(id));
        Assert.Single(await fixture.TimelineAsync(id), entry => entry.Kind == Courier.OnlyIntermediary);
        fixture.Clock.Advance(TimeSpan.FromHours(3));
        await fixture.DeliverAsync();
        Assert.Equal(ReferralState.Delivered, await fixture.StateAsync(id)); // when the way is free again
    }

    [Fact]
    public async Task Words_that_the_store_relies_on_are_those_of_the_delivery()
    {
        await using var fixture = await DeliveryFixture.StartAsync(_ => new Uri("http://127.0.0.1:9/fhir"));
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();

        Assert.All(await fixture.OutcomesAsync(id), outcome => Assert.True(AttemptWords.SentNothing(outcome)));
    }

    [Fact]
    public async Task Stored_request_that_cannot_be_read_goes_to_a_person_and_stops_no_other()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        var broken = await fixture.QueueAsync(body: "{\"resourceType\":\"Bundle\",\"type\":\"batch\"}");
        var sound = await fixture.QueueAsync();

        Assert.True(await fixture.DeliverAsync());
        Assert.True(await fixture.DeliverAsync());

        Assert.Equal(["stored-request-unusable"], await fixture.OutcomesAsync(broken));
        Assert.Equal(ReferralState.Delivered, await fixture.StateAsync(sound));
    }

    [Fact]
    public async Task Failing_destination_rests_after_five_failures_and_then_gets_one_try()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        fixture.Receiver.Answers([.. Enumerable.Repeat(Status(503), 5)]);
        for (var count = 0; count < 6; count++)
        {
            await fixture.QueueAsync("T3");
        }

        for (var attempt = 0; attempt < 5; attempt++)
        {
            Assert.True(await fixture.DeliverAsync());
        }

        Assert.False(await fixture.DeliverAsync()); // the sixth waits although it was never tried
        fixture.Clock.Advance(TimeSpan.FromSeconds(30));
        Assert.True(await fixture.DeliverAsync());
        Assert.Equal(BreakerPosition.Closed, (await fixture.Destinations.FindAsync(DeliveryFixture.Destination, Cancellation)).Breaker.Position);
    }

    [Fact]
    public async Task Wait_beyond_the_delivery_clock_raises_the_alarm_at_once_and_only_once()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        fixture.Receiver.Answers(Status(503, "", ("Retry-After", "3600")), Status(503, "", ("Retry-After", "3600")));
        var id = await fixture.QueueAsync("T0");

        await fixture.DeliverAsync();
        await fixture.DeliverWhenPlannedAsync();

        var alarm = Assert.Single(await fixture.TimelineAsync(id), entry => entry.Kind == OverdueAlarm.Overdue);
        Assert.Equal("T0: Not delivered in time. Telephone Westerquay General, ENT department, 01632 960123. Sending goes on meanwhile.", alarm.Detail);
        Assert.Equal(DeliveryFixture.Start, alarm.At);
    }

    [Fact]
    public async Task Fault_in_our_own_code_is_recorded_and_stops_no_other_referral()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        var faulty = await fixture.QueueAsync("T0", correlationId: "not\nallowed in a header");
        var sound = await fixture.QueueAsync("T3");

        Assert.True(await fixture.DeliverAsync());
        Assert.True(await fixture.DeliverAsync());

        Assert.Equal(["internal-error"], await fixture.OutcomesAsync(faulty));
        Assert.Equal(ReferralState.Queued, await fixture.StateAsync(faulty)); // nothing is dropped
        Assert.Equal(ReferralState.Delivered, await fixture.StateAsync(sound));
    }

    [Fact]
    public async Task Certificate_that_nobody_vouches_for_parks_the_destination()
    {
        using var impostor = new Impostor();
        await using var fixture = await DeliveryFixture.StartAsync(_ => impostor.BaseUrl);
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();

        Assert.Equal(["not-trusted"], await fixture.OutcomesAsync(id));
        Assert.True((await fixture.Destinations.FindAsync(DeliveryFixture.Destination, Cancellation)).Paused);
        Assert.Equal(0, impostor.BytesRead);
    }

    [Fact]
    public async Task Worker_that_lost_its_lease_stops_and_decides_nothing()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        using var arrived = new SemaphoreSlim(0);
        using var answer = new ManualResetEventSlim();
        fixture.Receiver.Answers(request =>
        {
            arrived.Release();
            answer.Wait(TimeSpan.FromSeconds(30));
            return fixture.Receiver.Store(request);
        });
        var id = await fixture.QueueAsync();
        var delivering = fixture.DeliverAsync();
        await arrived.WaitAsync(Cancellation);

        var other = await fixture.Outbox.ClaimAsync(DeliveryFixture.Destination, fixture.Clock.GetUtcNow().AddHours(1), TimeSpan.FromMinutes(2), Cancellation);
        fixture.Clock.Advance(DeliveryFixture.Lease / 3);
        await delivering;
        answer.Set();

        Assert.NotNull(other);
        var attempt = Assert.Single(await fixture.Outbox.AttemptsAsync(new Reach.Everything("test"), id, Cancellation));
        Assert.True(attempt.LeaseLost);
        Assert.Equal("unknown", attempt.Attempt.Outcome);
        Assert.Null(attempt.Attempt.StatusCode);
        Assert.True(await fixture.Outbox.RenewAsync(other, fixture.Clock.GetUtcNow(), TimeSpan.FromMinutes(2), TimeSpan.FromSeconds(15), Cancellation)); // the other one still holds it
    }

    [Fact] // without token settings; S11 and S12 are with the tokens
    public async Task Receiver_that_wants_a_token_gets_one_send_and_is_parked_until_somebody_resumes()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        fixture.Receiver.Answers(Outcome(401, ("error", "login")));
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();
        fixture.Clock.Advance(TimeSpan.FromDays(1));

        Assert.False(await fixture.DeliverAsync());
        Assert.Single(fixture.Receiver.Sends);
        Assert.Equal(["not-authenticated"], await fixture.OutcomesAsync(id));
        Assert.True((await fixture.Destinations.FindAsync(DeliveryFixture.Destination, Cancellation)).Paused);
        Assert.Equal(ReferralState.Queued, await fixture.StateAsync(id)); // nothing is dropped
    }

    [Fact]
    public async Task Sign_in_page_with_200_hands_nothing_to_a_person_however_often_it_comes()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        var page = Status(200, "<html><title>Please sign in</title></html>", ("Content-Type", "text/html"));
        fixture.Receiver.Answers([.. Enumerable.Repeat(page, 7)]);
        var id = await fixture.QueueAsync("T3");

        for (var attempt = 1; attempt <= 7; attempt++)
        {
            Assert.True(await fixture.DeliverAsync());
            Assert.Equal(ReferralState.Queued, await fixture.StateAsync(id));
            fixture.Clock.Advance(TimeSpan.FromHours(3));
        }

        await fixture.DeliverAsync();

        Assert.Equal([.. Enumerable.Repeat("intermediary-answered", 7), "delivered"], await fixture.OutcomesAsync(id));
        Assert.Single(await fixture.TimelineAsync(id), entry => entry.Kind == Courier.OnlyIntermediary); // raised once meanwhile
        Assert.Equal(1, fixture.Receiver.Created);
    }

    [Fact]
    public async Task Process_suspended_past_its_lease_between_claim_and_send_sends_nothing()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        var id = await fixture.QueueAsync();
        var suspended = await fixture.Outbox.ClaimAsync(DeliveryFixture.Destination, fixture.Clock.GetUtcNow(), DeliveryFixture.Lease, Cancellation);
        fixture.Clock.Advance(DeliveryFixture.Lease);
        Assert.True(await fixture.DeliverAsync()); // the new holder
        var before = await fixture.TimelineAsync(id);

        var mayBegin = await fixture.Outbox.BeginAsync(
            suspended!, new ReferralEvent(fixture.Clock.GetUtcNow(), Courier.Sending, "delivery"), fixture.Clock.GetUtcNow(), DeliveryFixture.Lease, TimeSpan.FromSeconds(15), Cancellation);

        Assert.False(mayBegin);
        Assert.Equal(before, await fixture.TimelineAsync(id));
        Assert.Equal(ReferralState.Delivered, await fixture.StateAsync(id));
    }

    // Header names have no case, RFC 9110 5.1.
    private static List<string> Header(WireMock.IRequestMessage message, string name) =>
        [.. message.Headers!.Single(header => string.Equals(header.Key, name, StringComparison.OrdinalIgnoreCase)).Value];
}
