using System.Text.Json;
using EarReferral.Delivery.Alarms;
using EarReferral.Delivery.Destinations;
using EarReferral.Gateway.Intake;
using EarReferral.Storage;
using EarReferral.Storage.Alarms;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Identity;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Refusals;
using EarReferral.Storage.Sending;
using EarReferral.Triage.Decisions;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Attention;

/// <summary>Keeps the list of what waits for a person, by reading what changed in the store since the last look.</summary>
/// <remarks>The list is derived and survives a restart by being derived again; nothing here is the only record of anything.</remarks>
internal sealed class OpenMatters(EncounterStore encounters, ReferralStore referrals, RefusalStore refusals, ReferralMatters ofReferrals, GpMatters ofPractices, IdentityStore identities, HistoryRecheck histories, DestinationDirectory directory, DestinationStore destinations, ChannelStore channels, IOptions<AlarmOptions> alarms) : IDisposable
{
    private const int PageSize = 200;

    /// <summary>A refusal whose visit number could not be read cannot be matched with a later post; it leaves the list after a week.</summary>
    private static readonly TimeSpan Unmatched = TimeSpan.FromDays(7);

    /// <summary>How long a matter without a clock of its own may wait (our own proposal).</summary>
    private static readonly TimeSpan Day = TimeSpan.FromHours(24);

    private static readonly Reach.Everything Everywhere = new Reach.Everything("attention list");

    private readonly SemaphoreSlim one = new(1, 1);
    private readonly Dictionary<(string Clinic, string Encounter), OpenMatter> visits = [];
    private readonly Dictionary<string, OpenMatter> stuck = new(StringComparer.Ordinal);
    private readonly List<OpenMatter> refused = [];
    private string? encounterCursor;
    private string? referralCursor;
    private DateTimeOffset refusalsReadTo = DateTimeOffset.MinValue;

    /// <summary>Everything that waits, the earliest due first.</summary>
    public async Task<IReadOnlyList<OpenMatter>> ReadAsync(DateTimeOffset now, CancellationToken stop)
    {
        await one.WaitAsync(stop);
        try
        {
            await ReadEncountersAsync(stop);
            await ReadReferralsAsync(now, stop);
            await ReadRefusalsAsync(stop);
            refused.RemoveAll(matter => matter.EncounterId is null && now - matter.Since > Unmatched);
            return [.. visits.Values.Concat(stuck.Values).Concat(ofReferrals.All(now)).Concat(await ofPractices.ReadAsync(now, stop)).Concat(refused).Concat(await ConflictsAsync(stop)).Concat(await HistoryAsync(stop)).Concat(await OfOperatorAsync(stop)).Select(matter => matter with { Overdue = matter.Due < now }).OrderBy(matter => matter.Due)];
        }
        finally
        {
            one.Release();
        }
    }

    private async Task ReadEncountersAsync(CancellationToken stop)
    {
        string? cursor = encounterCursor;
        while (true)
        {
            var page = await encounters.ListAsync(Everywhere, cursor, PageSize, stop);
            foreach (var encounter in page.Items)
            {
                var key = (encounter.ClinicId, encounter.ClinicEncounterId);
                visits.Remove(key);
                ofPractices.Take(encounter);
                refused.RemoveAll(matter => (matter.ClinicId, matter.EncounterId) == key && encounter.ReceivedAt >= matter.Since);
                if (Matter(encounter) is { } matter)
                {
                    visits[key] = matter;
                }
            }

            if (page.Next is null)
            {
                encounterCursor = cursor;
                return;
            }

            cursor = page.Next;
        }
    }

    private async Task ReadReferralsAsync(DateTimeOffset now, CancellationToken stop)
    {
        var cursor = referralCursor;
        while (true)
        {
            var page = await referrals.ListAsync(Everywhere, cursor, PageSize, stop);
            foreach (var referral in page.Items)
            {
                stuck.Remove(referral.ReferralId);
                await ofReferrals.TakeAsync(referral, now, stop);
                ofPractices.Take(referral, directory.IsPractice(referral.Destination));
                var isKeptBack = referral is { Objection: ReferralObjection.Stands, State: ReferralState.Held or ReferralState.NeedsHuman };
                if (isKeptBack || referral.State is ReferralState.NeedsHuman or ReferralState.WithdrawnAfterSending)
                {
                    stuck[referral.ReferralId] = new OpenMatter
                    {
                        Kind = isKeptBack ? "sharingObjected" : "referralNeedsHuman",
                        ClinicId = referral.ClinicId,
                        ReferralId = referral.ReferralId,
                        Who = directory.ContactAt(referral.Destination, now)?.Name ?? referral.Destination,
                        Phone = directory.ContactAt(referral.Destination, now)?.Phone,
                        Tier = referral.Tier,
                        Since = referral.ChangedAt,
                        Due = referral.Due ?? referral.ChangedAt + Limit(referral.Tier),
                    };
                }
            }

            if (page.Next is null)
            {
                referralCursor = cursor;
                return;
            }

            cursor = page.Next;
        }
    }

    private async Task ReadRefusalsAsync(CancellationToken stop)
    {
        string? cursor = null;
        var newest = refusalsReadTo;
        do
        {
            var page = await refusals.ListAsync(Everywhere, cursor, PageSize, stop);
            foreach (var refusal in page.Items.Where(refusal => refusal.At > refusalsReadTo && refusal.ProvisionalTier is "T0" or "T1"))
            {
                if (await WasPostedAgainAsync(refusal, stop))
                {
                    continue;
                }

                refused.Add(new OpenMatter
                {
                    Kind = "refusedRedFlag",
                    ClinicId = refusal.ClinicId,
                    EncounterId = refusal.ClinicEncounterId,
                    Tier = refusal.ProvisionalTier!,
                    Since = refusal.At,
                    Due = refusal.At + Limit(refusal.ProvisionalTier!),
                });
            }

            newest = page.Items.Select(refusal => refusal.At).Append(newest).Max();
            cursor = page.Items.Any(refusal => refusal.At <= refusalsReadTo) ? null : page.Next;
        }
        while (cursor is not null);
        refusalsReadTo = newest;
    }

    private async Task<IEnumerable<OpenMatter>> ConflictsAsync(CancellationToken stop) =>
        (await identities.ConflictsAsync(Everywhere, stop)).Select(conflict => new OpenMatter
        {
            Kind = "identityConflict",
            ClinicId = conflict.ClinicId,
            PatientId = conflict.PatientId,
            Conflict = JsonNamingPolicy.CamelCase.ConvertName(conflict.Kind.ToString()),
            Since = conflict.Since,
            Due = conflict.Since + Day,
        });

    private async Task<IEnumerable<OpenMatter>> HistoryAsync(CancellationToken stop) =>
        (await histories.ReadAsync(stop)).Select(change =>
        {
            var tier = new[] { change.Difference.TierBefore, change.Difference.TierAfter }.Max(Enum.Parse<Tier>).ToString();
            return new OpenMatter
            {
                Kind = "historyChanged",
                ClinicId = change.Review.ClinicId,
                EncounterId = change.EncounterId,
                Because = change.Review.Cause,
                Difference = change.Difference.Lines(),
                Tier = tier,
                Since = change.Review.FoundAt,
                Due = change.Review.FoundAt + Limit(tier),
            };
        });

    /// <summary>What keeps referrals or alarms from leaving; due at once, because nobody notices it otherwise.</summary>
    private async Task<IEnumerable<OpenMatter>> OfOperatorAsync(CancellationToken stop)
    {
        var parked = (await destinations.ListAsync(Everywhere, stop)).Where(state => state.Paused)
            .Select(state => OfOperator("destinationParked", state.Name, state.PausedAt ?? DateTimeOffset.MinValue));
        var failing = (await channels.ListAsync(Everywhere, stop)).Where(state => state.FailingSince is not null && alarms.Value.Channels.ContainsKey(state.Name))
            .Select(state => OfOperator("channelFailing", state.Name, state.FailingSince!.Value));
        return parked.Concat(failing);
    }

    private static OpenMatter OfOperator(string kind, string name, DateTimeOffset since) => new() { Kind = kind, ClinicId = "", Name = name, Since = since, Due = since };

    private async Task<bool> WasPostedAgainAsync(Refusal refusal, CancellationToken stop) =>
        refusal.ClinicEncounterId is { } number
        && await encounters.FindRevisionAsync(Everywhere, refusal.ClinicId, number, 1, stop) is { } stored
        && await encounters.FindAsync(Everywhere, stored.EncounterKey, stop) is { } newest
        && newest.ReceivedAt >= refusal.At;

    private static OpenMatter? Matter(StoredEncounter encounter) => encounter.State switch
    {
        "triaged" when IsKeptFromGp(encounter) => Of("sharingObjected", encounter, encounter.Tier),
        "awaitingAnswer" => Of("awaitingAnswer", encounter, MostUrgentQuestion(encounter) ?? "T1"),
        "quarantined" => Of("quarantined", encounter, encounter.Tier),
        _ => null,
    };

    private static OpenMatter Of(string kind, StoredEncounter encounter, string tier) => new()
    {
        Kind = kind,
        ClinicId = encounter.ClinicId,
        EncounterId = encounter.ClinicEncounterId,
        Tier = tier,
        Since = encounter.ReceivedAt,
        Due = encounter.EvaluatedAt + Limit(tier),
    };

    /// <summary>T0 or T1 of which the practice learns nothing, and nobody was phoned; the referral that is kept back is a matter of its own.</summary>
    private static bool IsKeptFromGp(StoredEncounter encounter)
    {
        using var receipt = JsonDocument.Parse(encounter.Receipt);
        return receipt.RootElement.TryGetProperty("notShared", out var stops)
            && stops.EnumerateArray().Any(stop => stop.GetProperty("with").GetString() == "gp" && stop.GetProperty("needsDecision").GetBoolean());
    }

    private static string? MostUrgentQuestion(StoredEncounter encounter)
    {
        using var receipt = JsonDocument.Parse(encounter.Receipt);
        return receipt.RootElement.GetProperty("decision").GetProperty("questions").EnumerateArray()
            .Select(question => question.GetProperty("tier").GetString())
            .Where(tier => tier is "T0" or "T1")
            .Min(StringComparer.Ordinal);
    }

    /// <summary>How long a matter may wait: the tier's own limit, and a working day for the rest (our own proposal).</summary>
    private static TimeSpan Limit(string tier) => tier switch
    {
        "T0" => TimeSpan.FromHours(4),
        _ => Day,
    };

    /// <inheritdoc />
    public void Dispose() => one.Dispose();
}
