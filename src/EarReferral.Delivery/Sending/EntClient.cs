using System.Net.Http.Headers;
using EarReferral.Delivery.Authorisation;
using EarReferral.Delivery.Decisions;
using EarReferral.Storage.Sending;
using Polly;
using Polly.Retry;
using Polly.Timeout;

namespace EarReferral.Delivery.Sending;

/// <summary>Speaks HTTP with the ENT systems; turns whatever happens into a value.</summary>
internal sealed class EntClient(IHttpClientFactory clients, TokenSource tokens, TimeProvider clock)
{
    /// <summary>Name of the HTTP client whose handler is set up for this use.</summary>
    public const string ClientName = "ent";

    private const string Fhir = "application/fhir+json";
    private static readonly ResiliencePropertyKey<TimeSpan> AttemptTimeout = new("attempt-timeout");

    private readonly ResiliencePipeline _attempt = Pipeline(clock);

    /// <summary>Posts a transaction to the base address itself, a message to <c>$process-message</c>.</summary>
    public Task<AttemptResult> SendAsync(DestinationOptions destination, OutgoingRequest request, CancellationToken cancellationToken) =>
        AttemptAsync(destination, request, () => Post(request.Mode == ExchangeMode.Message ? Under(destination.BaseUrl!, "$process-message") : destination.BaseUrl!, request), cancellationToken);

    /// <summary>Asks for ServiceRequests with an identifier; by POST, so that no identifier stands in an address.</summary>
    public Task<AttemptResult> ProbeAsync(DestinationOptions destination, OutgoingRequest request, string identifier, CancellationToken cancellationToken) =>
        AttemptAsync(destination, request, () => Search(destination.BaseUrl!, request, identifier), cancellationToken);

    /// <summary>Asks for the result of an asynchronous request.</summary>
    public Task<AttemptResult> PollAsync(DestinationOptions destination, OutgoingRequest request, Uri location, CancellationToken cancellationToken) =>
        AttemptAsync(destination, request, () => With(request, new HttpRequestMessage(HttpMethod.Get, location)), cancellationToken);

    /// <summary>Reads the capability statement; whatever keeps it from being read is a problem in words.</summary>
    public async Task<CapabilityReading> MetadataAsync(DestinationOptions destination, CancellationToken cancellationToken)
    {
        using var limit = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        limit.CancelAfter(destination.AttemptTimeout);
        using var client = clients.CreateClient(ClientName);
        using var message = new HttpRequestMessage(HttpMethod.Get, Under(destination.BaseUrl!, "metadata"));
        message.Headers.Accept.ParseAdd(Fhir);
        try
        {
            using var response = await client.SendAsync(message, HttpCompletionOption.ResponseContentRead, limit.Token);
            return response.IsSuccessStatusCode
                ? CapabilityReading.Read(await response.Content.ReadAsByteArrayAsync(limit.Token))
                : new CapabilityReading(null, false, $"Its /metadata answers with status {(int)response.StatusCode}.");
        }
        catch (HttpRequestException fault)
        {
            return new CapabilityReading(null, false, $"Its /metadata cannot be reached: {OutcomeWords.Word(Read(fault))}.");
        }
        catch (Exception fault) when (fault is IOException || (fault is OperationCanceledException && !cancellationToken.IsCancellationRequested))
        {
            return new CapabilityReading(null, false, "Its /metadata did not answer in time.");
        }
    }

    /// <summary>Searches a type by identifier, by POST. Status 0 where no answer came.</summary>
    public async Task<(int Status, ReadOnlyMemory<byte> Body)> SearchAsync(DestinationOptions destination, string correlationId, string type, string identifier, CancellationToken cancellationToken)
    {
        using var limit = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        limit.CancelAfter(destination.AttemptTimeout);
        using var client = clients.CreateClient(ClientName);
        string? refused = null;
        for (var attempt = 1; ; attempt++)
        {
            if (await tokens.GetAsync(destination, refused, cancellationToken) is not AccessToken.Granted(var token))
            {
                return (0, default);
            }

            using var message = new HttpRequestMessage(HttpMethod.Post, Under(destination.BaseUrl!, $"{type}/_search")) { Content = new FormUrlEncodedContent([new("identifier", identifier)]) };
            message.Headers.Accept.ParseAdd(Fhir);
            message.Headers.Add("X-Correlation-Id", correlationId);
            message.Headers.Authorization = token is null ? null : new AuthenticationHeaderValue("Bearer", token);
            try
            {
                using var response = await client.SendAsync(message, HttpCompletionOption.ResponseContentRead, limit.Token);
                if ((int)response.StatusCode == 401 && token is not null && attempt == 1)
                {
                    refused = token;
                    continue;
                }

                return ((int)response.StatusCode, await response.Content.ReadAsByteArrayAsync(limit.Token));
            }
            catch (Exception fault) when (fault is HttpRequestException or IOException || (fault is OperationCanceledException && !cancellationToken.IsCancellationRequested))
            {
                return (0, default);
            }
        }
    }

    private static Uri Under(Uri address, string path) => new($"{address.AbsoluteUri.TrimEnd('/')}/{path}");

    /// <summary>One attempt; where the receiver does not take the token that we kept, one more with a new one, and the same bytes and keys.</summary>
    private async Task<AttemptResult> AttemptAsync(DestinationOptions destination, OutgoingRequest request, Func<HttpRequestMessage> make, CancellationToken cancellationToken)
    {
        switch (await tokens.GetAsync(destination, instead: null, cancellationToken))
        {
            case AccessToken.Granted(var token):
                var result = await AttemptAsync(destination, request, make, token, cancellationToken);
                return token is not null && result is AttemptResult.Answered { Answer.StatusCode: 401 } && await tokens.GetAsync(destination, token, cancellationToken) is AccessToken.Granted(var renewed)
                    ? await AttemptAsync(destination, request, make, renewed, cancellationToken)
                    : result;
            case AccessToken.Refused:
                return new AttemptResult.Unanswered(TransportFault.TokenRefused);
            default:
                return new AttemptResult.Unanswered(TransportFault.NoToken);
        }
    }

    private async Task<AttemptResult> AttemptAsync(DestinationOptions destination, OutgoingRequest request, Func<HttpRequestMessage> make, string? token, CancellationToken cancellationToken)
    {
        var context = ResilienceContextPool.Shared.Get(cancellationToken);
        context.Properties.Set(AttemptTimeout, destination.AttemptTimeout);
        try
        {
            var answer = await _attempt.ExecuteAsync(async attempt => await OnceAsync(request, make, token, attempt.CancellationToken), context);
            return new AttemptResult.Answered(answer);
        }
        catch (TimeoutRejectedException)
        {
            return new AttemptResult.Unanswered(TransportFault.TimedOut);
        }
        catch (HttpRequestException fault)
        {
            return new AttemptResult.Unanswered(Read(fault));
        }
        catch (IOException)
        {
            return new AttemptResult.Unanswered(TransportFault.ConnectionLost);
        }
        catch (OperationCanceledException) when (!cancellationToken.IsCancellationRequested)
        {
            // The handler's own connect timeout surfaces as a cancellation that nobody asked for.
            return new AttemptResult.Unanswered(TransportFault.TimedOut);
        }
        finally
        {
            ResilienceContextPool.Shared.Return(context);
        }
    }

    private async Task<Answer> OnceAsync(OutgoingRequest request, Func<HttpRequestMessage> make, string? token, CancellationToken cancellationToken)
    {
        using var client = clients.CreateClient(ClientName);
        using var message = make();
        message.Headers.Authorization = token is null ? null : new AuthenticationHeaderValue("Bearer", token);
        using var response = await client.SendAsync(message, HttpCompletionOption.ResponseContentRead, cancellationToken);
        var body = await response.Content.ReadAsByteArrayAsync(cancellationToken);
        return new Answer(
            (int)response.StatusCode,
            AnswerParser.Read(body),
            Echoes(response, "X-Request-Id", request.RequestId) || Echoes(response, "X-Correlation-Id", request.CorrelationId),
            First(response.Headers, "Retry-After"),
            response.Headers.Date,
            First(response.Content.Headers, "Content-Location"),
            response.Headers.Location?.OriginalString,
            response.Headers.ETag?.ToString());
    }

    // The only retry below the outbox: nothing has left this machine, so trying another address of the same name at once is free.
    private static ResiliencePipeline Pipeline(TimeProvider clock) => new ResiliencePipelineBuilder { TimeProvider = clock }
        .AddTimeout(new TimeoutStrategyOptions
        {
            TimeoutGenerator = arguments => ValueTask.FromResult(arguments.Context.Properties.GetValue(AttemptTimeout, TimeSpan.FromSeconds(30))),
        })
        .AddRetry(new RetryStrategyOptions
        {
            ShouldHandle = new PredicateBuilder().Handle<HttpRequestException>(fault => Read(fault) is TransportFault.NotConnected),
            MaxRetryAttempts = 2,
            Delay = TimeSpan.Zero,
        })
        .Build();

    private static TransportFault Read(HttpRequestException fault) => fault.HttpRequestError switch
    {
        HttpRequestError.NameResolutionError or HttpRequestError.ConnectionError or HttpRequestError.ProxyTunnelError => TransportFault.NotConnected,
        HttpRequestError.SecureConnectionError => TransportFault.NotTrusted,
        _ => TransportFault.ConnectionLost,
    };

    private static HttpRequestMessage Post(Uri address, OutgoingRequest request)
    {
        var message = With(request, new HttpRequestMessage(HttpMethod.Post, address) { Content = new ReadOnlyMemoryContent(request.Body) });
        message.Content!.Headers.ContentType = new MediaTypeHeaderValue(Fhir);
        message.Headers.Add("Prefer", "return=minimal");
        message.Headers.Add("X-Request-Id", request.RequestId);
        // A string of RFC 9651, hence the quotation marks.
        message.Headers.Add("Idempotency-Key", $"\"{request.RequestId}\"");
        return message;
    }

    private static HttpRequestMessage Search(Uri address, OutgoingRequest request, string identifier) =>
        With(request, new HttpRequestMessage(HttpMethod.Post, Under(address, "ServiceRequest/_search"))
        {
            Content = new FormUrlEncodedContent([new("identifier", identifier)]),
        });

    private static HttpRequestMessage With(OutgoingRequest request, HttpRequestMessage message)
    {
        message.Headers.Accept.ParseAdd(Fhir);
        message.Headers.Add("X-Correlation-Id", request.CorrelationId);
        return message;
    }

    private static bool Echoes(HttpResponseMessage response, string name, string value) =>
        string.Equals(First(response.Headers, name), value, StringComparison.OrdinalIgnoreCase);

    private static string? First(HttpHeaders headers, string name) =>
        headers.NonValidated.TryGetValues(name, out var values) ? values.FirstOrDefault() : null;
}
