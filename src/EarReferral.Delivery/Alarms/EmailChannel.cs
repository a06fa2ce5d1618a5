using System.Globalization;
using System.Net.Sockets;
using MailKit;
using MailKit.Net.Smtp;
using MailKit.Security;
using MimeKit;

namespace EarReferral.Delivery.Alarms;

/// <summary>Tells a person by e-mail.</summary>
internal sealed class EmailChannel(ChannelOptions options, TimeProvider clock) : IAlarmChannel
{
    public async Task<ChannelOutcome> SendAsync(AlarmNotice notice, CancellationToken cancellationToken)
    {
        using var limit = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        limit.CancelAfter(options.Timeout);
        using var message = Message(notice);
        using var client = new SmtpClient { Timeout = (int)options.Timeout.TotalMilliseconds };
        try
        {
            await client.ConnectAsync(options.Host!, options.Port, Security(), limit.Token);
            if (options.User is { } user)
            {
                await client.AuthenticateAsync(user, Secrets.Read(null, options.PasswordFile) ?? "", limit.Token);
            }

            await client.SendAsync(message, limit.Token);
            // The server has taken it; a poor goodbye changes nothing.
            return new ChannelOutcome(true, "sent");
        }
        catch (SmtpCommandException refused)
        {
            return new ChannelOutcome(false, string.Create(CultureInfo.InvariantCulture, $"smtp-{(int)refused.StatusCode}"));
        }
        catch (Exception fault) when (fault is AuthenticationException or ServiceNotAuthenticatedException)
        {
            return new ChannelOutcome(false, "not-authenticated");
        }
        catch (SslHandshakeException)
        {
            return new ChannelOutcome(false, "not-trusted");
        }
        catch (SocketException)
        {
            return new ChannelOutcome(false, "not-connected");
        }
        catch (Exception fault) when (fault is IOException or SmtpProtocolException or ServiceNotConnectedException or NotSupportedException)
        {
            return new ChannelOutcome(false, "connection-lost");
        }
        catch (Exception late) when (late is TimeoutException || (late is OperationCanceledException && !cancellationToken.IsCancellationRequested))
        {
            return new ChannelOutcome(false, "timed-out");
        }
    }

    private MimeMessage Message(AlarmNotice notice)
    {
        var isTest = notice.Kind == "test";
        var message = new MimeMessage
        {
            MessageId = $"{notice.Id.Replace('/', '.')}@ear-referral.example",
            Date = clock.GetUtcNow(),
            Subject = isTest
                ? "Ear referral gateway: daily test message"
                : string.Join(' ', ["Ear referral alarm", notice.Tier ?? "", notice.What, notice.Step > 0 ? string.Create(CultureInfo.InvariantCulture, $"(told {notice.Step} times before)") : ""]).Trim(),
            Body = new TextPart("plain")
            {
                Text = isTest
                    ? "This is the daily test message. Nothing is wrong. When it does not come one day, alarms would not come either: have the channel looked at.\n"
                    : string.Create(CultureInfo.InvariantCulture, $"""
                        Alarm: {notice.What}
                        Urgency: {notice.Tier ?? "none"}
                        Reference: {notice.Reference ?? "see the list of open alarms"}
                        Clinic: {notice.Clinic ?? "none in particular"}
                        Open for: {notice.AgeMinutes} minutes
                        Acknowledge it by name under alarm {notice.Alarm}; until somebody does, the next person on the list is told.

                        """),
            },
        };
        message.From.Add(MailboxAddress.Parse(options.From!));
        message.To.Add(MailboxAddress.Parse(options.To!));
        return message;
    }

    private SecureSocketOptions Security() => options.Security switch
    {
        "tls" => SecureSocketOptions.SslOnConnect,
        "none" => SecureSocketOptions.None,
        _ => SecureSocketOptions.StartTls,
    };
}
