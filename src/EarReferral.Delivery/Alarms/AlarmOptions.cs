namespace EarReferral.Delivery.Alarms;

/// <summary>Who is told of alarms and how; configuration section <c>Delivery:Alarms</c>.</summary>
public sealed class AlarmOptions
{
    /// <summary>Name of the list for clinics without one of their own, and for what is no clinic's.</summary>
    public const string DefaultList = "default";

    /// <summary>Ways to tell somebody, by name.</summary>
    public Dictionary<string, ChannelOptions> Channels { get; } = new(StringComparer.Ordinal);

    /// <summary>Ordered contact lists by clinic id; <see cref="DefaultList"/> for all others.</summary>
    public Dictionary<string, List<StepOptions>> Lists { get; } = new(StringComparer.Ordinal);

    /// <summary>Time of day of the daily test message of every channel, in the zone of the calendar; 09:00 unless said otherwise.</summary>
    public TimeOnly TestAt { get; set; } = new(9, 0);

    /// <summary>Where the sign of life goes.</summary>
    public HeartbeatOptions Heartbeat { get; set; } = new();
}

/// <summary>One way to tell somebody; <c>Delivery:Alarms:Channels:{name}</c>.</summary>
public sealed class ChannelOptions
{
    /// <summary><c>webhook</c> or <c>email</c>.</summary>
    public string Kind { get; set; } = "";

    /// <summary>Address of a webhook: https, or http for this machine only.</summary>
    public Uri? Url { get; set; }

    /// <summary>File with the secret that signs a webhook, at least 32 characters; better than <see cref="Secret"/>.</summary>
    public string? SecretFile { get; set; }

    /// <summary>The secret itself, for trying.</summary>
    public string? Secret { get; set; }

    /// <summary>Recipient of an e-mail.</summary>
    public string? To { get; set; }

    /// <summary>Sender of an e-mail.</summary>
    public string? From { get; set; }

    /// <summary>Mail server.</summary>
    public string? Host { get; set; }

    /// <summary>Its port; 587 unless said otherwise.</summary>
    public int Port { get; set; } = 587;

    /// <summary><c>starttls</c> (unless said otherwise), <c>tls</c>, or <c>none</c> for a server on this machine.</summary>
    public string Security { get; set; } = "starttls";

    /// <summary>Account at the mail server, where it asks for one.</summary>
    public string? User { get; set; }

    /// <summary>File with the account's password.</summary>
    public string? PasswordFile { get; set; }

    /// <summary>Longest wait for one message; 15 seconds unless said otherwise.</summary>
    public TimeSpan Timeout { get; set; } = TimeSpan.FromSeconds(15);
}

/// <summary>One step of a contact list; <c>Delivery:Alarms:Lists:{clinic}:{n}</c>.</summary>
public sealed class StepOptions
{
    /// <summary>Who it is, such as <c>clinician on duty</c>.</summary>
    public string Name { get; set; } = "";

    /// <summary>Names of channels; the next is tried when one fails.</summary>
    public IList<string> Channels { get; } = [];

    /// <summary>How long they have to acknowledge, by tier, such as <c>T0: 00:05:00</c>.</summary>
    public Dictionary<string, TimeSpan> Waits { get; } = new(StringComparer.Ordinal);
}

/// <summary>A sign of life that stops when a part of the gateway does; <c>Delivery:Alarms:Heartbeat</c>.</summary>
public sealed class HeartbeatOptions
{
    /// <summary>Where it is posted; nothing is sent when it is missing.</summary>
    public Uri? Url { get; set; }

    /// <summary>How often; a minute unless said otherwise.</summary>
    public TimeSpan Every { get; set; } = TimeSpan.FromMinutes(1);
}
