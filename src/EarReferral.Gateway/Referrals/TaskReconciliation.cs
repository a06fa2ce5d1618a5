using System.Collections.Concurrent;
using System.Security.Cryptography;
using EarReferral.Delivery;
using EarReferral.Delivery.Alarms;
using EarReferral.Delivery.Destinations;
using EarReferral.Gateway.Fhir;
using EarReferral.Storage;
using EarReferral.Storage.Alarms;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Resources;
using EarReferral.Storage.Sending;
using Microsoft.Extensions.Options;
using FhirTask = Hl7.Fhir.Model.Task;

namespace EarReferral.Gateway.Referrals;

/// <summary>
/// Asks each receiver from time to time how its open referrals stand, and at once when it notifies that something changed. What it says is
/// judged as if it had told us, so a lost report costs time and never the referral.
/// </summary>
/// <remarks>A notification is only a hint to ask: its content is not used, so one that is lost, doubled, late or forged changes nothing by itself.</remarks>
internal sealed class TaskReconciliation(
    ReferralStore referrals, ResourceStore resources, DestinationStore destinations, ChannelStore turns, TaskQuestions questions, TaskReports reports, IOptions<DeliveryOptions> options, Pulse pulse, TimeProvider clock, ILogger<TaskReconciliation> logger) : BackgroundService
{
    private const string Loop = "reconciliation";
    private const int AtOnce = 50;
    private static readonly TimeSpan Interval = TimeSpan.FromSeconds(5);
    private static readonly TimeSpan Turn = TimeSpan.FromSeconds(10);
    private static readonly TimeSpan LongestQuiet = TimeSpan.FromHours(1);
    private static readonly Reach Everywhere = new Reach.Everything("reconciliation");

    private readonly Dictionary<string, Asked> open = new(StringComparer.Ordinal);
    private readonly Dictionary<string, (DateTimeOffset Until, int Times, string Why)> quiet = new(StringComparer.Ordinal);
    private readonly ConcurrentDictionary<string, bool> rung = new(StringComparer.Ordinal);

    // What was kept for review and is still said is not kept again at every question.
    private readonly Dictionary<string, string> refused = new(StringComparer.Ordinal);
    private string? cursor;

    /// <summary>Ask this receiver about all its open referrals at the next round.</summary>
    public void Ring(string destination) => rung[destination] = true;

    /// <summary>Asks about whatever is due.</summary>
    public async Task RoundAsync(DateTimeOffset now, CancellationToken stop)
    {
        await ReadChangesAsync(stop);
        foreach (var (name, destination) in options.Value.Destinations.Where(each => each.Value is { BaseUrl: not null }))
        {
            var isRung = rung.TryRemove(name, out _);
            var due = destination.AskAboutTasks || isRung
                ? open.Where(each => each.Value.Destination == name && (isRung || each.Value.Next <= now)).OrderBy(each => each.Value.Lane).ThenBy(each => each.Value.Next).Take(AtOnce).ToList()
                : [];
            if (due.Count == 0 || (!isRung && quiet.TryGetValue(name, out var silence) && silence.Until > now) || (await destinations.FindAsync(name, stop)).Paused)
            {
                continue;
            }

            if (await turns.ClaimAsync($"tasks/{name}", now, now + Turn, stop) is null)
            {
                // Another instance asks, or this one asked just now; a notification is not forgotten over that.
                if (isRung)
                {
                    Ring(name);
                }

                continue;
            }

            await AskAsync(name, destination, [.. due.Select(each => each.Key)], now, stop);
        }
    }

    /// <inheritdoc />
    public override Task StartAsync(CancellationToken cancellationToken)
    {
        pulse.Expect(Loop, TimeSpan.FromMinutes(30));
        return base.StartAsync(cancellationToken);
    }

    /// <inheritdoc />
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        while (!stoppingToken.IsCancellationRequested)
        {
            pulse.Beat(Loop);
            try
            {
                await RoundAsync(clock.GetUtcNow(), stoppingToken);
            }
            catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
            {
                return;
            }
#pragma warning disable CA1031 // The store may be locked or away for a while; the next round asks again.
            catch (Exception fault)
#pragma warning restore CA1031
            {
                Log.StoreRefused(logger, fault.GetType().Name);
            }

            await Task.Delay(Interval, clock, stoppingToken).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        }
    }

    private async Task AskAsync(string name, DestinationOptions destination, IReadOnlyList<string> ids, DateTimeOffset now, CancellationToken stop)
    {
        foreach (var id in ids)
        {
            if (await referrals.FindAsync(Everywhere, id, stop) is not { State: ReferralState.Delivered } referral || referral.Destination != name
                || await resources.ReadAsync(Everywhere, "Task", referral.TaskId, stop) is not { } stored)
            {
                open.Remove(id);
                continue;
            }

            var identifier = ((FhirTask)stored.Parse()).Identifier[^1];
            var reply = await questions.AskAsync(destination, referral.CorrelationId, identifier.System!, identifier.Value!, stop);
            if (reply is TaskReply.Unclear unclear)
            {
                var times = quiet.TryGetValue(name, out var before) ? before.Times + 1 : 1;
                quiet[name] = (now + Shorter(LongestQuiet, TimeSpan.FromMinutes(Math.Pow(2, Math.Min(times - 1, 10)))), times, unclear.Why);
                if (before.Why != unclear.Why)
                {
                    Log.TaskQuestionUnclear(logger, name, unclear.Why);
                }

                return;
            }

            open[id] = open[id] with { Next = now + Every(referral.Tier) };
            quiet.Remove(name);
            await TakeAsync(name, referral, stored, reply, stop);
        }
    }

    private async Task TakeAsync(string name, StoredReferral referral, StoredResource stored, TaskReply reply, CancellationToken stop)
    {
        // Delivery was proved once; a Task that cannot be found afterwards is told to the log and watched by the clocks.
        if (reply is not TaskReply.Found found)
        {
            Log.TaskQuestionUnclear(logger, name, "it does not find a Task that it had confirmed");
            return;
        }

        var body = found.Json.ToArray();
        if (FhirBody.Read("application/fhir+json", body) is not { Resource: FhirTask sent })
        {
            Log.TaskQuestionUnclear(logger, name, "its Task cannot be read as FHIR R4");
            return;
        }

        // As it was sent: nobody there has said anything yet.
        if (sent is { Status: FhirTask.TaskStatus.Requested, BusinessStatus: null })
        {
            return;
        }

        // The receiver's copy names its own ids. Where we know under which it keeps the patient, another is a fault of matching.
        if (sent.For?.Reference is { } patient && referral.Locations is { } places && places.Contains("Patient/", StringComparison.Ordinal) && !places.Contains(patient, StringComparison.Ordinal))
        {
            sent.For = new Hl7.Fhir.Model.ResourceReference("Patient/not-the-one-of-the-referral");
        }
        else
        {
            sent.For = null;
        }

        sent.Focus = null;
        var digest = Convert.ToHexString(SHA256.HashData(body));
        if (refused.GetValueOrDefault(referral.TaskId) == digest)
        {
            return;
        }

        var outcome = await reports.TakeAsync(new TaskReport(new Reach.Destination(name), $"asked {name}", referral.TaskId, sent, body) { Words = "found by asking" }, stored, stop);
        if (outcome is TaskReportOutcome.NotApplied)
        {
            refused[referral.TaskId] = digest;
        }
    }

    private async Task ReadChangesAsync(CancellationToken stop)
    {
        while (true)
        {
            var page = await referrals.ListAsync(Everywhere, cursor, 200, stop);
            foreach (var referral in page.Items)
            {
                if (referral.State != ReferralState.Delivered || referral.TaskStatus is "entered-in-error")
                {
                    open.Remove(referral.ReferralId);
                }
                else if (open.GetValueOrDefault(referral.ReferralId) is not { } known || known.ChangedAt != referral.ChangedAt)
                {
                    // Whoever has just reported need not be asked.
                    open[referral.ReferralId] = new Asked(referral.Destination, referral.PriorityLane, referral.ChangedAt, referral.ChangedAt + Every(referral.Tier));
                }
            }

            if (page.Next is null)
            {
                return;
            }

            cursor = page.Next;
        }
    }

    /// <summary>Our own proposal: often enough that each clock of the tier still leaves time to telephone.</summary>
    private static TimeSpan Every(string tier) => tier switch
    {
        "T0" => TimeSpan.FromMinutes(2),
        "T1" => TimeSpan.FromMinutes(5),
        "T2" or "T2C" => TimeSpan.FromHours(1),
        _ => TimeSpan.FromHours(6),
    };

    private static TimeSpan Shorter(TimeSpan one, TimeSpan other) => one < other ? one : other;

    private sealed record Asked(string Destination, int Lane, DateTimeOffset ChangedAt, DateTimeOffset Next);
}
