using System.Globalization;
using System.Net.Http.Headers;
using System.Security.Cryptography;

namespace EarReferral.Delivery.Alarms;

/// <summary>Posts signed JSON; turns whatever happens into a value.</summary>
internal sealed class SignedPost(IHttpClientFactory clients, TimeProvider clock)
{
    /// <summary>Name of the HTTP client whose handler follows no redirects.</summary>
    public const string ClientName = "webhook";

    /// <summary>Posts it once; time and nonce are new at every try, the id is not.</summary>
    public async Task<ChannelOutcome> SendAsync(Uri url, string? secret, string id, byte[] body, TimeSpan timeout, CancellationToken cancellationToken)
    {
        using var limit = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        limit.CancelAfter(timeout);
        using var client = clients.CreateClient(ClientName);
        using var message = new HttpRequestMessage(HttpMethod.Post, url) { Content = new ByteArrayContent(body) };
        message.Content.Headers.ContentType = new MediaTypeHeaderValue("application/json");
        message.Headers.Add(WebhookSignature.Id, id);
        if (secret is not null)
        {
            var seconds = clock.GetUtcNow().ToUnixTimeSeconds();
            var nonce = Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(16));
            message.Headers.Add(WebhookSignature.Time, seconds.ToString(CultureInfo.InvariantCulture));
            message.Headers.Add(WebhookSignature.Nonce, nonce);
            message.Headers.Add(WebhookSignature.Value, $"v1={WebhookSignature.Of(secret, id, seconds, nonce, body)}");
        }

        try
        {
            using var response = await client.SendAsync(message, HttpCompletionOption.ResponseHeadersRead, limit.Token);
            return new ChannelOutcome(response.IsSuccessStatusCode, string.Create(CultureInfo.InvariantCulture, $"status-{(int)response.StatusCode}"));
        }
        catch (HttpRequestException fault)
        {
            return new ChannelOutcome(false, fault.HttpRequestError switch
            {
                HttpRequestError.NameResolutionError or HttpRequestError.ConnectionError => "not-connected",
                HttpRequestError.SecureConnectionError => "not-trusted",
                _ => "connection-lost",
            });
        }
        catch (OperationCanceledException) when (!cancellationToken.IsCancellationRequested)
        {
            return new ChannelOutcome(false, "timed-out");
        }
    }
}
