using System.Net;
using System.Net.Sockets;

namespace EarReferral.Delivery.Tests.Fixtures;

/// <summary>Passes bytes on to the receiver and, as often as told, resets the connection when the answer begins to come back.</summary>
internal sealed class CuttingProxy : IDisposable
{
    private readonly TcpListener _listener = new(IPAddress.Loopback, 0);
    private readonly CancellationTokenSource _stop = new();
    private readonly int _target;
    private int _cuts;

    public CuttingProxy(int target, int cuts)
    {
        (_target, _cuts) = (target, cuts);
        _listener.Start();
        _ = AcceptAsync();
    }

    public Uri BaseUrl => new($"http://127.0.0.1:{((IPEndPoint)_listener.LocalEndpoint).Port}/fhir");

    public void Dispose()
    {
        _stop.Cancel();
        _listener.Dispose();
        _stop.Dispose();
    }

    private async Task AcceptAsync()
    {
        try
        {
            while (true)
            {
                _ = PassAsync(await _listener.AcceptTcpClientAsync(_stop.Token));
            }
        }
        catch (OperationCanceledException)
        {
            // The test is over.
        }
    }

    private async Task PassAsync(TcpClient caller)
    {
        using (caller)
        using (var receiver = new TcpClient())
        {
            await receiver.ConnectAsync(IPAddress.Loopback, _target, _stop.Token);
            var there = caller.GetStream().CopyToAsync(receiver.GetStream(), _stop.Token);
            var buffer = new byte[64 * 1024];
            var count = await receiver.GetStream().ReadAsync(buffer, _stop.Token);
            if (Interlocked.Decrement(ref _cuts) >= 0)
            {
                caller.LingerState = new LingerOption(true, 0);
                caller.Client.Close();
                return;
            }

            while (count > 0)
            {
                await caller.GetStream().WriteAsync(buffer.AsMemory(0, count), _stop.Token);
                count = await receiver.GetStream().ReadAsync(buffer, _stop.Token);
            }

            await there;
        }
    }
}
