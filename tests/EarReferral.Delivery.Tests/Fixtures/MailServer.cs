using System.Collections.Concurrent;
using System.Net;
using System.Net.Sockets;
using System.Text;

namespace EarReferral.Delivery.Tests.Fixtures;

/// <summary>A mail server on loopback that speaks as much of RFC 5321 as a submission needs, and keeps what it was given.</summary>
internal sealed class MailServer : IDisposable
{
    private readonly TcpListener listener = new(IPAddress.Loopback, 0);
    private readonly CancellationTokenSource stop = new();

    public MailServer()
    {
        listener.Start();
        _ = AcceptAsync();
    }

    public int Port => ((IPEndPoint)listener.LocalEndpoint).Port;

    /// <summary>Messages as they came, headers included.</summary>
    public ConcurrentQueue<string> Messages { get; } = new();

    /// <summary>True to refuse every recipient, as a server does that knows the mailbox no more.</summary>
    public bool Refuses { get; set; }

    public void Dispose()
    {
        stop.Cancel();
        listener.Stop();
        stop.Dispose();
    }

    private async Task AcceptAsync()
    {
        try
        {
            while (true)
            {
                _ = ServeAsync(await listener.AcceptTcpClientAsync(stop.Token));
            }
        }
        catch (Exception ended) when (ended is OperationCanceledException or SocketException or ObjectDisposedException)
        {
            // The test is over.
        }
    }

    private async Task ServeAsync(TcpClient client)
    {
        using (client)
        {
            using var reader = new StreamReader(client.GetStream(), Encoding.UTF8);
            await using var writer = new StreamWriter(client.GetStream(), new UTF8Encoding(false)) { NewLine = "\r\n", AutoFlush = true };
            await writer.WriteLineAsync("220 mail.westerquay.example");
            while (await reader.ReadLineAsync(stop.Token) is { } line)
            {
                switch (line.Split(' ')[0].ToUpperInvariant())
                {
                    case "RCPT" when Refuses:
                        await writer.WriteLineAsync("550 no such mailbox");
                        break;
                    case "DATA":
                        await writer.WriteLineAsync("354 go on");
                        Messages.Enqueue(await DataAsync(reader));
                        await writer.WriteLineAsync("250 taken");
                        break;
                    case "QUIT":
                        await writer.WriteLineAsync("221 bye");
                        return;
                    default:
                        await writer.WriteLineAsync("250 mail.westerquay.example");
                        break;
                }
            }
        }
    }

    private async Task<string> DataAsync(StreamReader reader)
    {
        var text = new StringBuilder();
        while (await reader.ReadLineAsync(stop.Token) is { } line && line != ".")
        {
            text.AppendLine(line);
        }

        return text.ToString();
    }
}
