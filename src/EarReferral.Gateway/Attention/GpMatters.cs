using System.Text.Json;
using EarReferral.Gateway.Configuration;
using EarReferral.Gateway.Security;
using EarReferral.Referrals.Calendars;
using EarReferral.Storage.Audit;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Referrals;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Attention;

/// <summary>Summaries that ask a GP to act and that nobody has fetched, and summaries that nobody can fetch.</summary>
/// <remarks>
/// A summary that waits to be pulled is no request that anybody knows of. It counts as collected when a client of the practice was shown
/// this summary after its newest revision, by the audit rows, or when somebody of the clinic wrote down that they handed it over. Collected
/// says that the system of the practice has it, not that anyone there read it.
/// </remarks>
internal sealed class GpMatters(AuditStore audit, ClientRegistry clients, WorkingCalendar calendar, IOptions<GatewayOptions> options)
{
    private readonly Dictionary<Guid, Awaited> awaited = [];

    /// <summary>Encounters whose request to the practice is a referral, which has clocks of its own.</summary>
    private readonly HashSet<Guid> referred = [];

    /// <summary>Takes the newest revision of an encounter.</summary>
    public void Take(StoredEncounter encounter)
    {
        awaited.Remove(encounter.EncounterKey);
        if (encounter.State == "triaged" && Read(encounter) is { } found)
        {
            awaited[encounter.EncounterKey] = found;
        }
    }

    /// <summary>Takes a referral; one to a practice is followed by its own clocks.</summary>
    public void Take(StoredReferral referral, bool toPractice)
    {
        if (toPractice)
        {
            referred.Add(referral.EncounterKey);
        }
    }

    /// <summary>What waits now; what was collected is forgotten until its encounter changes.</summary>
    public async Task<IReadOnlyList<OpenMatter>> ReadAsync(DateTimeOffset now, CancellationToken stop)
    {
        var practices = clients.All.Where(client => client.Kind == CallerKinds.GpPractice).ToLookup(client => ((Storage.Reach.Practice)client.Reach).OdsCode, client => client.Id, StringComparer.Ordinal);
        var waiting = awaited.Where(each => !referred.Contains(each.Key)).ToList();
        var shown = (await audit.SummariesShownAsync([.. waiting.Select(each => each.Value.Patient)], [.. practices.SelectMany(ids => ids)], stop)).ToLookup(each => each.SummaryId, StringComparer.Ordinal);
        var matters = new List<OpenMatter>();
        foreach (var (key, each) in waiting)
        {
            var readers = each.Practice is { } practice ? practices[practice] : [];
            if (shown[each.SummaryId].Any(one => one.At >= each.Matter.Since && (one.ByHand || readers.Contains(one.Actor))))
            {
                awaited.Remove(key);
            }
            else if (each.Practice is null)
            {
                matters.Add(each.Matter with { Kind = "summaryNotReleased" });
            }
            else if (!readers.Any())
            {
                matters.Add(each.Matter with { Kind = "summaryNotReleased", Why = "notConnected" });
            }
            else if (each.Matter.Due <= now)
            {
                matters.Add(each.Matter);
            }
        }

        return matters;
    }

    private Awaited? Read(StoredEncounter encounter)
    {
        using var receipt = JsonDocument.Parse(encounter.Receipt);
        if (!receipt.RootElement.TryGetProperty("gp", out var gp) || !receipt.RootElement.TryGetProperty("summary", out var summary))
        {
            return null;
        }

        var asked = gp.GetProperty("actionNeeded").GetBoolean();
        var readable = gp.GetProperty("readable").GetString();
        // What the patient keeps from the practice is a matter of its own. Where a practice is recorded and nothing is asked of it, it reads when it likes.
        if (readable == "objects" || (!asked && readable == "practice"))
        {
            return null;
        }

        return new Awaited(encounter.PatientKey, encounter.PracticeOds, summary.GetString()!.Split('/')[^2], new OpenMatter
        {
            Kind = "gpActionNotCollected",
            ClinicId = encounter.ClinicId,
            EncounterId = encounter.ClinicEncounterId,
            EncounterKey = encounter.EncounterKey,
            Tier = encounter.Tier,
            Why = gp.TryGetProperty("why", out var why) ? why.GetString() : null,
            Since = encounter.ReceivedAt,
            Due = Due(encounter, asked),
        });
    }

    /// <summary>Our own proposal; no standard gives these times.</summary>
    private DateTimeOffset Due(StoredEncounter encounter, bool asked) => (asked, encounter.Tier) switch
    {
        (false, _) => calendar.Add(encounter.ReceivedAt, options.Value.HandOverWorkingDays),
        (true, "T0") => encounter.EvaluatedAt + TimeSpan.FromHours(4),
        (true, "T1") => encounter.EvaluatedAt + TimeSpan.FromHours(24),
        (true, "T2" or "T2C") => calendar.Add(encounter.EvaluatedAt, 1),
        (true, _) => calendar.Add(encounter.EvaluatedAt, options.Value.GpActionWorkingDays),
    };

    private sealed record Awaited(Guid Patient, string? Practice, string SummaryId, OpenMatter Matter);
}
