using EarReferral.Referrals.Clocks;
using EarReferral.Referrals.Escalation;
using Microsoft.Extensions.Options;

namespace EarReferral.Delivery.Alarms;

/// <summary>The configured channels and contact lists.</summary>
internal sealed class Channels(SignedPost post, TimeProvider clock, IOptions<AlarmOptions> options)
{
    private readonly Dictionary<string, IAlarmChannel> channels = options.Value.Channels.ToDictionary(
        channel => channel.Key,
        channel => channel.Value.Kind == "email" ? new EmailChannel(channel.Value, clock) : (IAlarmChannel)new WebhookChannel(post, channel.Value),
        StringComparer.Ordinal);

    private readonly Dictionary<string, ContactList> lists = options.Value.Lists.ToDictionary(
        list => list.Key,
        list => new ContactList([.. list.Value.Select(step => new EscalationStep(step.Name, [.. step.Channels], step.Waits.ToDictionary(wait => UrgencyTiers.Read(wait.Key)!.Value, wait => wait.Value)))]),
        StringComparer.Ordinal);

    /// <summary>Names of all channels.</summary>
    public IReadOnlyCollection<string> Names => channels.Keys;

    /// <summary>A channel by its name.</summary>
    public IAlarmChannel Find(string name) => channels[name];

    /// <summary>The list of a clinic; null when nobody is configured to be told.</summary>
    public ContactList? ListOf(string clinicId) => lists.GetValueOrDefault(clinicId) ?? lists.GetValueOrDefault(AlarmOptions.DefaultList);
}
