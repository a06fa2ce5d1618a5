using System.Text.Json;
using EarReferral.Delivery;
using EarReferral.Delivery.Destinations;
using EarReferral.Referrals.Clocks;
using EarReferral.Storage.Referrals;

namespace EarReferral.Gateway.Attention;

/// <summary>What a referral asks of a person by its clocks and by its end.</summary>
/// <remarks>Clocks start and stop only when the referral changes, so they are read once per change; what has run out is told at every look.</remarks>
internal sealed class ReferralMatters(ClockReader clocks, DestinationDirectory directory)
{
    private const string ClockExpired = "clockExpired";

    private readonly Dictionary<string, (DateTimeOffset ChangedAt, string Destination, IReadOnlyList<OpenMatter> Matters)> known = new(StringComparer.Ordinal);

    /// <summary>All matters of the referrals taken so far.</summary>
    public IEnumerable<OpenMatter> All(DateTimeOffset now) =>
        known.Values.SelectMany(each => each.Matters.Where(matter => matter.Kind != ClockExpired || matter.Due <= now).Select(matter => Phoned(matter, each.Destination, now)));

    /// <summary>Works out the matters of a referral that is new or has changed.</summary>
    public async Task TakeAsync(StoredReferral referral, DateTimeOffset now, CancellationToken stop)
    {
        if (!ClockReader.IsRunning(referral))
        {
            known.Remove(referral.ReferralId);
        }
        else if (!known.TryGetValue(referral.ReferralId, out var before) || before.ChangedAt != referral.ChangedAt)
        {
            var readings = await clocks.ReadAsync(referral, now, stop);
            known[referral.ReferralId] = (referral.ChangedAt, referral.Destination, [.. readings.Where(reading => reading.State is ClockState.Running or ClockState.Expired).Select(reading => Late(referral, reading)), .. Ended(referral)]);
        }
    }

    /// <summary>Whom to phone changes with the hour, so it is filled in when the matter is told.</summary>
    private OpenMatter Phoned(OpenMatter matter, string destination, DateTimeOffset now)
    {
        var contact = directory.ContactAt(destination, now);
        return matter with { Who = contact?.Name ?? destination, Phone = contact?.Phone };
    }

    private static OpenMatter Late(StoredReferral referral, ClockReading reading) =>
        Of(ClockExpired, referral, reading.StartedAt!.Value, reading.ExpiresAt!.Value) with { Clock = JsonNamingPolicy.CamelCase.ConvertName(reading.Clock.ToString()) };

    private static IEnumerable<OpenMatter> Ended(StoredReferral referral) => referral.TaskStatus is "rejected" or "failed" or "cancelled" or "entered-in-error" or "completed"
        ? [ToClose("referralToClose", referral)]
        : referral.ReplacedBy is not null ? [ToClose("referralReplaced", referral)] : [];

    private static OpenMatter ToClose(string kind, StoredReferral referral) =>
        Of(kind, referral, referral.ChangedAt, referral.ChangedAt + ClockLimits.Default.For(ClockReader.Urgency(referral.Tier), ReferralClock.InformationReply));

    private static OpenMatter Of(string kind, StoredReferral referral, DateTimeOffset since, DateTimeOffset due) => new()
    {
        Kind = kind,
        ClinicId = referral.ClinicId,
        ReferralId = referral.ReferralId,
        Tier = referral.Tier,
        Since = since,
        Due = due,
    };
}
