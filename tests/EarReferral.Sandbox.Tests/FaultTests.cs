using System.Diagnostics;
using System.Net;
using EarReferral.Sandbox.Faults;

namespace EarReferral.Sandbox.Tests;

public sealed class FaultTests
{
    [Theory]
    [InlineData("""{ "mode": "status", "status": 500, "times": 2 }""", HttpStatusCode.InternalServerError)]
    [InlineData("""{ "mode": "status", "status": 422, "times": 2 }""", HttpStatusCode.UnprocessableEntity)]
    [InlineData("""{ "mode": "retryAfter", "status": 429, "retryAfterSeconds": 7, "times": 2 }""", HttpStatusCode.TooManyRequests)]
    public async Task A_status_is_answered_as_often_as_asked_and_nothing_is_stored_meanwhile(string plan, HttpStatusCode expected)
    {
        await using var sandbox = await RunningSandbox.StartAsync();
        await sandbox.FaultAsync(plan);

        Assert.Equal(expected, (await sandbox.PostAsync(ReferralBundle.Of("a"))).Status);
        Assert.Equal(expected, (await sandbox.PostAsync(ReferralBundle.Of("a"))).Status);
        Assert.Equal(0, await sandbox.CountAsync("Task"));
        Assert.Equal(HttpStatusCode.OK, (await sandbox.PostAsync(ReferralBundle.Of("a"))).Status);
    }

    [Fact]
    public async Task Retry_after_says_how_long_to_wait()
    {
        await using var sandbox = await RunningSandbox.StartAsync();
        await sandbox.FaultAsync("""{ "mode": "retryAfter", "retryAfterSeconds": 7 }""");

        using var answer = await sandbox.PostRawAsync(ReferralBundle.Of("a").ToJsonString());

        Assert.Equal(HttpStatusCode.ServiceUnavailable, answer.StatusCode);
        Assert.Equal(TimeSpan.FromSeconds(7), answer.Headers.RetryAfter?.Delta);
    }

    [Theory]
    [InlineData("resetAfterAccept", 1, "the sender cannot know, but the referral is there")]
    [InlineData("resetBefore", 0, "nothing arrived")]
    public async Task A_connection_that_is_cut_leaves_the_sender_without_an_answer(string mode, int stored, string because)
    {
        await using var sandbox = await RunningSandbox.StartAsync();
        await sandbox.FaultAsync($$"""{ "mode": "{{mode}}", "times": 1 }""");

        await Assert.ThrowsAsync<HttpRequestException>(() => sandbox.PostRawAsync(ReferralBundle.Of("a").ToJsonString()));

        Assert.True(stored == await sandbox.CountAsync("ServiceRequest"), because);
        await sandbox.PostAsync(ReferralBundle.Of("a"));
        Assert.Equal(1, await sandbox.CountAsync("ServiceRequest"));
    }

    [Fact]
    public async Task Half_an_answer_breaks_off_after_everything_is_stored()
    {
        await using var sandbox = await RunningSandbox.StartAsync();
        await sandbox.FaultAsync("""{ "mode": "halfAnswer", "times": 1 }""");

        await Assert.ThrowsAsync<HttpRequestException>(() => sandbox.PostRawAsync(ReferralBundle.Of("a").ToJsonString()));

        Assert.Equal(1, await sandbox.CountAsync("ServiceRequest"));
    }

    [Fact]
    public async Task Late_stores_although_the_sender_has_gone()
    {
        await using var sandbox = await RunningSandbox.StartAsync();
        await sandbox.FaultAsync("""{ "mode": "late", "delayMs": 1500, "times": 1 }""");
        using var http = new HttpClient { BaseAddress = sandbox.Address, Timeout = TimeSpan.FromMilliseconds(700) };
        using var body = new StringContent(ReferralBundle.Of("a").ToJsonString(), System.Text.Encoding.UTF8, "application/fhir+json");

        await Assert.ThrowsAsync<TaskCanceledException>(() => http.PostAsync("/fhir", body, TestContext.Current.CancellationToken));

        using var patience = CancellationTokenSource.CreateLinkedTokenSource(TestContext.Current.CancellationToken);
        patience.CancelAfter(TimeSpan.FromSeconds(60));
        while (await sandbox.CountAsync("ServiceRequest") == 0)
        {
            await Task.Delay(50, patience.Token);
        }
    }

    [Fact] // FHIR R4, RESTful API, conditional create: nothing there says that nobody comes in between
    public async Task Gap_between_looking_and_creating_lets_two_senders_create_the_same()
    {
        await using var sandbox = await RunningSandbox.StartAsync(options => options with { CreateGap = TimeSpan.FromSeconds(2) });

        var both = await Task.WhenAll(sandbox.PostAsync(ReferralBundle.Of("a")), sandbox.PostAsync(ReferralBundle.Of("a")));

        Assert.All(both, answer => Assert.Equal(HttpStatusCode.OK, answer.Status));
        Assert.Equal(2, await sandbox.CountAsync("ServiceRequest"));
        Assert.Equal(HttpStatusCode.PreconditionFailed, (await sandbox.PostAsync(ReferralBundle.Of("a"))).Status);
    }

    [Fact]
    public void Mix_strikes_with_all_six_and_counts_them_apart()
    {
        var faults = new FaultSwitch();
        faults.Set(new FaultPlan { Mode = FaultMode.Mix, Rate = 0.3, Seed = 1, Searches = true });

        for (var call = 0; call < 1000; call++)
        {
            faults.Next(isSearch: call % 4 == 0);
        }

        var counts = faults.Counts();
        Assert.Equal(["Garbage200", "HalfAnswer", "Late", "None", "ResetAfterAccept", "RetryAfter429", "Status503"], counts.Keys);
        Assert.Equal(750, counts.Values.Sum(count => count.Transactions));
        Assert.Equal(250, counts.Values.Sum(count => count.Searches));
        Assert.All(counts.Values, count => Assert.InRange(count.Transactions, 15, 560));
    }

    [Fact]
    public async Task Slow_waits_and_then_works()
    {
        await using var sandbox = await RunningSandbox.StartAsync();
        await sandbox.FaultAsync("""{ "mode": "slow", "delayMs": 400 }""");
        var started = Stopwatch.GetTimestamp();

        var (status, _) = await sandbox.PostAsync(ReferralBundle.Of("a"));

        Assert.Equal(HttpStatusCode.OK, status);
        Assert.True(Stopwatch.GetElapsedTime(started) >= TimeSpan.FromMilliseconds(390));
    }

    [Fact]
    public async Task Garbage_is_a_web_page_with_status_200_and_nothing_stored()
    {
        await using var sandbox = await RunningSandbox.StartAsync();
        await sandbox.FaultAsync("""{ "mode": "garbage200" }""");

        using var answer = await sandbox.PostRawAsync(ReferralBundle.Of("a").ToJsonString());

        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        Assert.Equal("text/html", answer.Content.Headers.ContentType?.MediaType);
        Assert.Equal(0, await sandbox.CountAsync("ServiceRequest"));
    }

    [Fact]
    public async Task A_missing_entry_shortens_the_answer_but_not_the_store()
    {
        await using var sandbox = await RunningSandbox.StartAsync();
        await sandbox.FaultAsync("""{ "mode": "missingEntry", "times": 1 }""");

        var (status, body) = await sandbox.PostAsync(ReferralBundle.Of("a"));

        Assert.Equal(HttpStatusCode.OK, status);
        Assert.Equal(2, body["entry"]!.AsArray().Count);
        Assert.Equal(1, await sandbox.CountAsync("Task"));
    }

    [Fact]
    public async Task A_search_still_works_while_transactions_fail()
    {
        await using var sandbox = await RunningSandbox.StartAsync();
        await sandbox.PostAsync(ReferralBundle.Of("a"));
        await sandbox.FaultAsync("""{ "mode": "status", "status": 503 }""");

        Assert.Equal(1, (int?)(await sandbox.GetAsync("/fhir/Task?identifier=a-task")).Body["total"]);
    }

    [Theory]
    [InlineData("""{ "mode": "explode" }""")]
    [InlineData("""{ "mode": "status", "status": 200 }""")]
    [InlineData("""{ "mode": "slow", "delayMs": -1 }""")]
    [InlineData("""{ "mode": "status", "rate": 1.5 }""")]
    [InlineData("""{ "mode": "status", "tmies": 2 }""")]
    public async Task A_plan_that_cannot_be_meant_is_refused_and_changes_nothing(string plan)
    {
        await using var sandbox = await RunningSandbox.StartAsync();

        Assert.Equal(HttpStatusCode.BadRequest, await sandbox.FaultAsync(plan));
        Assert.Equal(HttpStatusCode.OK, (await sandbox.PostAsync(ReferralBundle.Of("a"))).Status);
    }

    [Fact]
    public void The_same_seed_strikes_the_same_requests_at_about_the_rate_asked_for()
    {
        var plan = new FaultPlan { Mode = FaultMode.Status, Rate = 0.3, Seed = 1 };
        var first = Struck(plan);

        Assert.Equal(first, Struck(plan));
        Assert.NotEqual(first, Struck(plan with { Seed = 2 }));

        // 1000 draws at 0.3: mean 300, standard deviation 14.5; five of them either way.
        Assert.InRange(first.Count(struck => struck), 228, 372);
    }

    private static List<bool> Struck(FaultPlan plan)
    {
        var faults = new FaultSwitch();
        faults.Set(plan);
        return [.. Enumerable.Range(0, 1000).Select(_ => faults.Next(isSearch: false).Mode != FaultMode.None)];
    }
}
