using System.Net;
using System.Net.Security;
using System.Net.Sockets;
using System.Security.Authentication;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;

namespace EarReferral.Delivery.Tests.Fixtures;

/// <summary>Speaks TLS with a certificate that it signed itself, and counts what it is trusted with.</summary>
internal sealed class Impostor : IDisposable
{
    private readonly TcpListener _listener = new(IPAddress.Loopback, 0);
    private readonly CancellationTokenSource _stop = new();
    private readonly RSA _key = RSA.Create(2048);
    private readonly X509Certificate2 _certificate;
    private int _bytesRead;

    public Impostor()
    {
        var now = TimeProvider.System.GetUtcNow();
        _certificate = new CertificateRequest("CN=localhost", _key, HashAlgorithmName.SHA256, RSASignaturePadding.Pkcs1).CreateSelfSigned(now.AddDays(-1), now.AddDays(1));
        _listener.Start();
        _ = AcceptAsync();
    }

    public Uri BaseUrl => new($"https://127.0.0.1:{((IPEndPoint)_listener.LocalEndpoint).Port}/fhir");

    public int BytesRead => _bytesRead;

    public void Dispose()
    {
        _stop.Cancel();
        _listener.Dispose();
        _certificate.Dispose();
        _key.Dispose();
        _stop.Dispose();
    }

    private async Task AcceptAsync()
    {
        while (true)
        {
            try
            {
                using var caller = await _listener.AcceptTcpClientAsync(_stop.Token);
                await using var secured = new SslStream(caller.GetStream());
                await secured.AuthenticateAsServerAsync(_certificate);
                Interlocked.Add(ref _bytesRead, await secured.ReadAsync(new byte[1024], _stop.Token));
            }
            catch (Exception fault) when (fault is AuthenticationException or IOException)
            {
                // The caller hung up, as it should.
            }
            catch (OperationCanceledException)
            {
                return;
            }
        }
    }
}
