using EarReferral.Referrals.Clocks;
using Microsoft.Extensions.Options;
using MimeKit;

namespace EarReferral.Delivery.Alarms;

/// <summary>Refuses alarms that could reach nobody, or could tell a stranger.</summary>
internal sealed class AlarmOptionsValidation : IValidateOptions<AlarmOptions>
{
    public ValidateOptionsResult Validate(string? name, AlarmOptions options)
    {
        var problems = options.Channels.SelectMany(channel => Problems($"{DeliveryOptions.Section}:Alarms:Channels:{channel.Key}", channel.Value)).ToList();
        problems.AddRange(options.Lists.SelectMany(list => Problems($"{DeliveryOptions.Section}:Alarms:Lists:{list.Key}", list.Value, options)));
        if (options.Channels.Count > 0 && !options.Lists.ContainsKey(AlarmOptions.DefaultList))
        {
            problems.Add("Delivery:Alarms:Lists:default is missing: somebody must be told of what no clinic's own list covers.");
        }

        if (options.Heartbeat.Url is { } url && !IsSafe(url))
        {
            problems.Add("Delivery:Alarms:Heartbeat:Url must be an absolute https address; http is accepted for this machine only.");
        }

        if (options.Heartbeat.Every < TimeSpan.FromSeconds(10) || options.Heartbeat.Every > TimeSpan.FromHours(1))
        {
            problems.Add("Delivery:Alarms:Heartbeat:Every must lie between 10 seconds and 1 hour.");
        }

        return problems.Count == 0 ? ValidateOptionsResult.Success : ValidateOptionsResult.Fail(problems);
    }

    internal static bool IsSafe(Uri url) => url.IsAbsoluteUri && url.UserInfo.Length == 0 && (url.Scheme == Uri.UriSchemeHttps || (url.Scheme == Uri.UriSchemeHttp && url.IsLoopback));

    private static IEnumerable<string> Problems(string place, ChannelOptions channel)
    {
        if (channel.Timeout < TimeSpan.FromSeconds(1) || channel.Timeout > TimeSpan.FromMinutes(1))
        {
            yield return $"{place}:Timeout must lie between 1 second and 1 minute.";
        }

        switch (channel.Kind)
        {
            case "webhook":
                if (channel.Url is not { } url || !IsSafe(url))
                {
                    yield return $"{place}:Url must be an absolute https address without a user; http is accepted for this machine only.";
                }

                if (Secrets.Read(channel.Secret, channel.SecretFile) is not { Length: >= 32 })
                {
                    yield return $"{place}:SecretFile must name a readable file with at least 32 characters.";
                }

                break;
            case "email":
                foreach (var (member, address) in new[] { ("To", channel.To), ("From", channel.From) })
                {
                    if (!MailboxAddress.TryParse(address ?? "", out var mailbox) || !mailbox.Address.Contains('@', StringComparison.Ordinal))
                    {
                        yield return $"{place}:{member} is no e-mail address.";
                    }
                }

                if (string.IsNullOrWhiteSpace(channel.Host) || channel.Port is < 1 or > 65535)
                {
                    yield return $"{place}:Host and Port must name a mail server.";
                }

                if (channel.Security is not ("starttls" or "tls") && !(channel.Security == "none" && channel.Host is "localhost" or "127.0.0.1" or "::1"))
                {
                    yield return $"{place}:Security must be starttls or tls; none is accepted for a server on this machine only.";
                }

                if (channel.User is not null && Secrets.Read(null, channel.PasswordFile) is null)
                {
                    yield return $"{place}:PasswordFile must name a readable file.";
                }

                break;
            default:
                yield return $"{place}:Kind must be webhook or email.";
                break;
        }
    }

    private static IEnumerable<string> Problems(string place, List<StepOptions> list, AlarmOptions options)
    {
        if (list.Count == 0)
        {
            yield return $"{place} has no step.";
        }

        foreach (var (index, step) in list.Index())
        {
            if (string.IsNullOrWhiteSpace(step.Name))
            {
                yield return $"{place}:{index}:Name is missing.";
            }

            if (step.Channels.Count == 0)
            {
                yield return $"{place}:{index}:Channels is empty.";
            }

            foreach (var channel in step.Channels.Where(channel => !options.Channels.ContainsKey(channel)))
            {
                yield return $"{place}:{index}:Channels names '{channel}', which is not among Delivery:Alarms:Channels.";
            }

            foreach (var (tier, wait) in step.Waits.Where(wait => UrgencyTiers.Read(wait.Key) is null || wait.Value < TimeSpan.FromMinutes(1)))
            {
                yield return $"{place}:{index}:Waits:{tier} must name one of T0, T1, T2, T2C and T3 and be at least a minute, not {wait}.";
            }
        }
    }
}
