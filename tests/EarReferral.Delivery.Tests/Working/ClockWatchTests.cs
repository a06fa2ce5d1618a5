using EarReferral.Delivery.Tests.Fixtures;
using EarReferral.Delivery.Working;
using EarReferral.Storage;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Resources;
using Hl7.Fhir.Model;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Delivery.Tests.Working;

/// <summary>The clocks after delivery. Limits: the table of ClockLimits, our own proposal; no standard gives them.</summary>
public sealed class ClockWatchTests
{
    private static readonly Reach Everywhere = new Reach.Everything("test");

    private static CancellationToken Cancellation => TestContext.Current.CancellationToken;

    [Theory]
    [InlineData("T0", 15)]
    [InlineData("T1", 60)]
    public async Task Silence_after_delivery_is_raised_when_the_clock_runs_out_and_not_before(string tier, int minutes)
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        var id = await DeliveredAsync(fixture, tier);
        var watch = Watch(fixture);

        fixture.Clock.Advance(DeliveryFixture.Start + TimeSpan.FromMinutes(minutes) - TimeSpan.FromSeconds(1) - fixture.Clock.GetUtcNow());
        await watch.LookAsync(Cancellation);
        Assert.Empty(await AlarmsAsync(fixture, id));

        fixture.Clock.Advance(TimeSpan.FromSeconds(1));
        await watch.LookAsync(Cancellation);
        await watch.LookAsync(Cancellation);
        Assert.Equal(["acknowledgement-overdue"], await AlarmsAsync(fixture, id));
    }

    [Fact]
    public async Task Expiry_is_raised_once_across_two_watches_and_a_restart()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        var id = await DeliveredAsync(fixture, "T0");
        await using var second = fixture.SecondNode();
        fixture.Clock.Advance(TimeSpan.FromHours(1));

        await Task.WhenAll(Watch(fixture).LookAsync(Cancellation), Watch(second).LookAsync(Cancellation));
        await using var restarted = fixture.SecondNode();
        await Watch(restarted).LookAsync(Cancellation);

        Assert.Equal(["acknowledgement-overdue"], await AlarmsAsync(fixture, id));
    }

    [Fact]
    public async Task Correction_to_a_higher_urgency_is_raised_again()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        var id = await DeliveredAsync(fixture, "T3");
        var watch = Watch(fixture);
        fixture.Clock.Advance(TimeSpan.FromDays(3));
        await watch.LookAsync(Cancellation);

        await fixture.CorrectAsync(id, "T0");
        fixture.Clock.Advance(TimeSpan.FromMinutes(15));
        await watch.LookAsync(Cancellation);
        await watch.LookAsync(Cancellation);

        var lines = (await fixture.TimelineAsync(id)).Where(entry => entry.Kind == "acknowledgement-overdue").Select(entry => entry.Detail![..3]);
        Assert.Equal(["T3:", "T0:"], lines);
    }

    [Fact]
    public async Task Closed_referral_raises_nothing()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        var id = await DeliveredAsync(fixture, "T0");
        var watch = Watch(fixture);
        await watch.LookAsync(Cancellation);

        Assert.Equal(ClosureOutcome.Closed, await CloseAsync(fixture, id));
        fixture.Clock.Advance(TimeSpan.FromDays(1));
        await watch.LookAsync(Cancellation);

        Assert.Empty(await AlarmsAsync(fixture, id));
    }

    [Fact]
    public async Task Work_taken_up_after_closure_reopens_it_and_its_clocks()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        var id = await DeliveredAsync(fixture, "T1");
        await ReportAsync(fixture, id, "completed", "completed");
        await CloseAsync(fixture, id);

        await ReportAsync(fixture, id, "in-progress", "accepted");
        fixture.Clock.Advance(TimeSpan.FromDays(3));
        await Watch(fixture).LookAsync(Cancellation);

        Assert.Equal(ReferralState.NeedsHuman, await fixture.StateAsync(id));
        Assert.Contains(await fixture.TimelineAsync(id), entry => entry.Kind == "reopened");
        Assert.Equal(["outcome-overdue"], await AlarmsAsync(fixture, id));
    }

    [Theory]
    [InlineData("received", null, "triage-outcome-overdue", "received is not triaged")]
    [InlineData("on-hold", "awaiting-information", "information-reply-overdue", "a question that nobody answers")]
    [InlineData("accepted", "accepted", "appointment-overdue", "accepted is not booked")]
    [InlineData("accepted", "visit-cancelled", "appointment-overdue", "a cancelled visit is no visit")]
    [InlineData("accepted", "did-not-attend", "appointment-overdue", "whoever did not come has not been seen")]
    [InlineData("in-progress", "visit-scheduled", "outcome-overdue", "the day by which the patient had to be seen has passed and nobody said a word")]
    [InlineData("in-progress", "visit-complete", "outcome-overdue", "the letter is missing")]
    [InlineData("completed", "completed", "outcome-overdue", "completed without an outcome")]
    [InlineData("rejected", "rejected-redirect", null, "nothing more will come; closing it is the clinic's")]
    public async Task Report_that_is_followed_by_silence_leaves_its_own_clock_running(string status, string? business, string? expected, string reason)
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        var id = await DeliveredAsync(fixture, "T1");
        await ReportAsync(fixture, id, status, business);

        fixture.Clock.Advance(TimeSpan.FromDays(10));
        await Watch(fixture).LookAsync(Cancellation);

        Assert.True(
            (expected is null ? [] : new[] { expected }).SequenceEqual(await AlarmsAsync(fixture, id)), $"{reason}: {string.Join(", ", await AlarmsAsync(fixture, id))}");
    }

    private static async Task<string> DeliveredAsync(DeliveryFixture fixture, string tier)
    {
        var id = await fixture.QueueAsync(tier);
        await fixture.DeliverAsync();
        Assert.Equal(ReferralState.Delivered, await fixture.StateAsync(id));
        return id;
    }

    private static async Task ReportAsync(DeliveryFixture fixture, string id, string status, string? business)
    {
        var referral = await fixture.FindAsync(id);
        var version = (await fixture.Get<ResourceStore>().ReadAsync(Everywhere, "Task", referral.TaskId, Cancellation))!.Version;
        var task = new Hl7.Fhir.Model.Task
        {
            Id = referral.TaskId,
            Status = Hl7.Fhir.Utility.EnumUtility.ParseLiteral<Hl7.Fhir.Model.Task.TaskStatus>(status),
            BusinessStatus = business is null ? null : new CodeableConcept(null, business),
            Intent = Hl7.Fhir.Model.Task.TaskIntent.Order,
        };
        fixture.Clock.Advance(TimeSpan.FromSeconds(1));
        var outcome = await fixture.Referrals.ApplyTaskUpdateAsync(
            Everywhere, referral.TaskId, version, task, status, business, new ReferralEvent(fixture.Clock.GetUtcNow(), "task-updated", "test"), Cancellation);
        Assert.IsType<TaskUpdateOutcome.Applied>(outcome);
    }

    private static async Task<ClosureOutcome> CloseAsync(DeliveryFixture fixture, string id)
    {
        var referral = await fixture.FindAsync(id);
        var version = (await fixture.Get<ResourceStore>().ReadAsync(Everywhere, "Task", referral.TaskId, Cancellation))!.Version;
        fixture.Clock.Advance(TimeSpan.FromSeconds(1));
        return await fixture.Referrals.CloseAsync(
            Everywhere,
            id,
            new ReferralClosure("Morwenna Tal", "audiologist", "treatedElsewhere", "Seen at another hospital.", "the ENT secretary", fixture.Clock.GetUtcNow(), "test", "request"),
            new ClosureJudgement(referral.ChangedAt, version, null, "completed", true),
            Cancellation);
    }

    private static OverdueWatch Watch(DeliveryFixture fixture) => fixture.Get<IEnumerable<IHostedService>>().OfType<OverdueWatch>().Single();

    private static OverdueWatch Watch(ServiceProvider node) => node.GetServices<IHostedService>().OfType<OverdueWatch>().Single();

    private static async Task<IReadOnlyList<string>> AlarmsAsync(DeliveryFixture fixture, string id) =>
        [.. (await fixture.TimelineAsync(id)).Select(entry => entry.Kind).Where(kind => kind.EndsWith("-overdue", StringComparison.Ordinal))];
}
