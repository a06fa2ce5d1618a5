using System.Collections.Concurrent;
using System.Globalization;
using System.Security.Cryptography;
using System.Text.Json;
using EarReferral.Delivery.Sending;

namespace EarReferral.Delivery.Authorisation;

/// <summary>Gets access tokens of receivers and keeps each until shortly before it ends.</summary>
internal sealed class TokenSource(IHttpClientFactory clients, TimeProvider clock)
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(15);
    private static readonly TimeSpan Margin = TimeSpan.FromSeconds(30);
    private static readonly TimeSpan Unsaid = TimeSpan.FromMinutes(1);

    private readonly ConcurrentDictionary<TokenOptions, Kept> _kept = new();

    /// <summary>A token for the destination.</summary>
    /// <param name="destination">The receiver; without token settings it wants none.</param>
    /// <param name="instead">A token that the receiver did not take, so that another is fetched; null when any will do.</param>
    /// <param name="cancellationToken">Stops the wait.</param>
    public async Task<AccessToken> GetAsync(DestinationOptions destination, string? instead, CancellationToken cancellationToken)
    {
        if (destination.Token is not { } options)
        {
            return new AccessToken.Granted(null);
        }

        var kept = _kept.GetOrAdd(options, _ => new Kept());
        await kept.Gate.WaitAsync(cancellationToken);
        try
        {
            if (kept.Value is null || kept.Value == instead || kept.Until <= clock.GetUtcNow())
            {
                kept.Value = null;
                var (token, until) = await FetchAsync(options, cancellationToken);
                if (token is not AccessToken.Granted granted)
                {
                    return token;
                }

                (kept.Value, kept.Until) = (granted.Value, until);
            }

            return new AccessToken.Granted(kept.Value);
        }
        finally
        {
            kept.Gate.Release();
        }
    }

    private async Task<(AccessToken Token, DateTimeOffset Until)> FetchAsync(TokenOptions options, CancellationToken cancellationToken)
    {
        using var limit = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        limit.CancelAfter(Patience);
        try
        {
            using var client = clients.CreateClient(EntClient.ClientName);
            using var body = new FormUrlEncodedContent(
            [
                new("grant_type", "client_credentials"),
                new("scope", options.Scope),
                new("client_assertion_type", "urn:ietf:params:oauth:client-assertion-type:jwt-bearer"),
                new("client_assertion", ClientAssertion.Make(options, clock.GetUtcNow())),
            ]);
            using var response = await client.PostAsync(options.Url, body, limit.Token);
            return (int)response.StatusCode switch
            {
                200 => Read(await response.Content.ReadAsByteArrayAsync(limit.Token)),
                // RFC 6749 5.2: what is wrong with the request or the client. Anything else may pass.
                400 or 401 or 403 or 404 or 405 or (>= 300 and <= 399) => (new AccessToken.Refused(), default),
                _ => (new AccessToken.Unavailable(), default),
            };
        }
        catch (Exception unusable) when (unusable is CryptographicException or UnauthorizedAccessException or FileNotFoundException or DirectoryNotFoundException)
        {
            return (new AccessToken.Refused(), default);
        }
        catch (Exception fault) when (fault is HttpRequestException or IOException || (fault is OperationCanceledException && !cancellationToken.IsCancellationRequested))
        {
            return (new AccessToken.Unavailable(), default);
        }
    }

    private (AccessToken Token, DateTimeOffset Until) Read(byte[] body)
    {
        try
        {
            using var document = JsonDocument.Parse(body);
            var root = document.RootElement;
            if (root.ValueKind == JsonValueKind.Object
                && root.TryGetProperty("access_token", out var token) && token.ValueKind == JsonValueKind.String && token.GetString() is { Length: > 0 } value
                && !value.Any(char.IsControl)
                && root.TryGetProperty("token_type", out var type) && type.ValueKind == JsonValueKind.String && string.Equals(type.GetString(), "bearer", StringComparison.OrdinalIgnoreCase))
            {
                var lifetime = root.TryGetProperty("expires_in", out var seconds) && double.TryParse(seconds.ToString(), NumberStyles.Float, CultureInfo.InvariantCulture, out var said) && said is > 0 and < 86_400
                    ? TimeSpan.FromSeconds(said)
                    : Unsaid;
                return (new AccessToken.Granted(value), clock.GetUtcNow() + lifetime - (lifetime > 2 * Margin ? Margin : lifetime / 2));
            }
        }
        catch (JsonException)
        {
            // A page instead of a token: something in front of the token endpoint answered.
        }

        return (new AccessToken.Unavailable(), default);
    }

    private sealed class Kept
    {
        public SemaphoreSlim Gate { get; } = new(1);

        public string? Value { get; set; }

        public DateTimeOffset Until { get; set; }
    }
}
