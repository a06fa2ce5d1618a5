using System.Security.Cryptography;
using System.Text.Json;
using EarReferral.Delivery.Tests.Fixtures;
using EarReferral.Storage.Referrals;
using WireMock;
using static EarReferral.Delivery.Tests.Fixtures.EntReceiver;

namespace EarReferral.Delivery.Tests.Authorisation;

/// <summary>
/// Access tokens of a receiver. Form of request and assertion: SMART App Launch 2, backend services and client authentication:
/// asymmetric; lifetimes and errors: RFC 6749 5.1, 5.2. Signatures are checked by .NET's cryptography and not by the library that made them.
/// </summary>
public sealed class TokenTests : IDisposable
{
    private readonly string _key = Path.Combine(Directory.CreateTempSubdirectory("token-").FullName, "key.pem");

    private static CancellationToken Cancellation => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Request_is_that_of_the_profile_and_the_token_goes_with_the_referral()
    {
        await using var fixture = await StartAsync();
        await fixture.QueueAsync();

        await fixture.DeliverAsync();

        var form = Assert.Single(fixture.Receiver.TokenRequests);
        Assert.Equal(("client_credentials", "system/Bundle.c", "urn:ietf:params:oauth:client-assertion-type:jwt-bearer"), (form["grant_type"], form["scope"], form["client_assertion_type"]));
        Assert.Equal("Bearer token-1", Authorization(Assert.Single(fixture.Receiver.Sends)));
    }

    [Fact]
    public async Task Rsa_assertion_has_the_claims_of_the_profile_and_a_true_signature()
    {
        using var key = RSA.Create(2048);
        File.WriteAllText(_key, key.ExportPkcs8PrivateKeyPem());
        await using var fixture = await StartAsync();

        await fixture.QueueAsync();
        await fixture.DeliverAsync();

        var (header, claims, signed, signature) = Read(Assert.Single(fixture.Receiver.TokenRequests)["client_assertion"]);
        Assert.Equal(("RS384", "JWT", "key-1"), (Text(header, "alg"), Text(header, "typ"), Text(header, "kid")));
        Assert.True(key.VerifyData(signed, signature, HashAlgorithmName.SHA384, RSASignaturePadding.Pkcs1));
        Assert.Equal(("ear-gateway", "ear-gateway", $"{fixture.Receiver.BaseUrl.GetLeftPart(UriPartial.Authority)}/token"), (Text(claims, "iss"), Text(claims, "sub"), Text(claims, "aud")));
        Assert.InRange(claims.GetProperty("exp").GetInt64() - DeliveryFixture.Start.ToUnixTimeSeconds(), 1, 300); // no more than five minutes
        Assert.NotEmpty(Text(claims, "jti"));
    }

    [Fact]
    public async Task Elliptic_assertion_has_a_true_signature_and_every_assertion_is_used_once()
    {
        using var key = ECDsa.Create(ECCurve.NamedCurves.nistP384);
        File.WriteAllText(_key, key.ExportPkcs8PrivateKeyPem());
        await using var fixture = await StartAsync();
        fixture.Receiver.Answers(Outcome(401, ("error", "login")));

        await fixture.QueueAsync();
        await fixture.DeliverAsync();

        var assertions = fixture.Receiver.TokenRequests.Select(form => Read(form["client_assertion"])).ToList();
        Assert.Equal(2, assertions.Select(assertion => Text(assertion.Claims, "jti")).Distinct().Count());
        Assert.All(assertions, assertion => Assert.Equal("ES384", Text(assertion.Header, "alg")));
        Assert.All(assertions, assertion => Assert.True(key.VerifyData(assertion.Signed, assertion.Signature, HashAlgorithmName.SHA384)));
    }

    [Fact] // S11
    public async Task Token_that_is_not_taken_is_renewed_once_and_the_same_bytes_go_again()
    {
        await using var fixture = await StartAsync();
        fixture.Receiver.Answers(Outcome(401, ("error", "login")));
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();

        Assert.Equal(["Bearer token-1", "Bearer token-2"], fixture.Receiver.Sends.Select(Authorization));
        Assert.Equal(fixture.Receiver.Sends[0].BodyAsBytes, fixture.Receiver.Sends[1].BodyAsBytes);
        Assert.Equal(["delivered"], await fixture.OutcomesAsync(id));
    }

    [Fact] // S12
    public async Task Token_that_is_never_taken_parks_after_two_sends()
    {
        await using var fixture = await StartAsync();
        fixture.Receiver.Answers(Outcome(401, ("error", "login")), Outcome(401, ("error", "login")));
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();
        fixture.Clock.Advance(TimeSpan.FromDays(1));

        Assert.False(await fixture.DeliverAsync());
        Assert.Equal(2, fixture.Receiver.Sends.Count);
        Assert.Equal(["not-authenticated"], await fixture.OutcomesAsync(id));
        Assert.True((await fixture.Destinations.FindAsync(DeliveryFixture.Destination, Cancellation)).Paused);
        Assert.Equal(ReferralState.Queued, await fixture.StateAsync(id)); // nothing is dropped
    }

    [Fact]
    public async Task Token_is_kept_until_shortly_before_its_end()
    {
        await using var fixture = await StartAsync();
        foreach (var wait in new[] { 0, 200, 100 })
        {
            fixture.Clock.Advance(TimeSpan.FromSeconds(wait));
            await fixture.QueueAsync();
            await fixture.DeliverAsync();
        }

        Assert.Equal(["Bearer token-1", "Bearer token-1", "Bearer token-2"], fixture.Receiver.Sends.Select(Authorization));
    }

    [Theory]
    [InlineData(503, "{}")]
    [InlineData(429, "{}")]
    [InlineData(200, "<html>sign in</html>")]
    [InlineData(200, """{"access_token":"","token_type":"bearer"}""")]
    [InlineData(200, """{"access_token":"x","token_type":"mac"}""")]
    public async Task Without_a_token_nothing_is_sent_and_it_is_tried_again(int status, string body)
    {
        await using var fixture = await StartAsync();
        fixture.Receiver.TokenAnswers.Enqueue(_ => Message(status, body));
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();
        Assert.Empty(fixture.Receiver.Sends);
        await fixture.DeliverWhenPlannedAsync();

        Assert.Equal(["no-token", "delivered"], await fixture.OutcomesAsync(id));
        Assert.Empty(fixture.Receiver.Probes); // nothing had been sent, so there is nothing to ask
    }

    [Theory]
    [InlineData(400)] // invalid_client, RFC 6749 5.2
    [InlineData(401)]
    [InlineData(302)] // an assertion goes nowhere but where it was configured to go
    public async Task Receiver_that_refuses_a_token_is_parked_and_nothing_is_sent(int status)
    {
        await using var fixture = await StartAsync();
        fixture.Receiver.TokenAnswers.Enqueue(_ => Message(status, """{"error":"invalid_client"}""", ("Location", "https://elsewhere.example/")));
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();

        Assert.Empty(fixture.Receiver.Sends);
        Assert.Equal(["token-refused"], await fixture.OutcomesAsync(id));
        Assert.True((await fixture.Destinations.FindAsync(DeliveryFixture.Destination, Cancellation)).Paused);
    }

    [Fact]
    public async Task Key_that_is_changed_in_its_file_signs_the_next_token()
    {
        await using var fixture = await StartAsync();
        await fixture.QueueAsync();
        await fixture.DeliverAsync();
        using var next = ECDsa.Create(ECCurve.NamedCurves.nistP384);
        File.WriteAllText(_key, next.ExportPkcs8PrivateKeyPem());
        fixture.Clock.Advance(TimeSpan.FromMinutes(10));

        await fixture.QueueAsync();
        await fixture.DeliverAsync();

        var (_, _, signed, signature) = Read(fixture.Receiver.TokenRequests[^1]["client_assertion"]);
        Assert.True(next.VerifyData(signed, signature, HashAlgorithmName.SHA384));
    }

    [Fact]
    public async Task Probe_carries_the_token_too()
    {
        await using var fixture = await StartAsync();
        fixture.Receiver.Answers(request =>
        {
            fixture.Receiver.Store(request);
            return Message(200, "{}");
        });
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();

        Assert.Equal("Bearer token-1", Authorization(Assert.Single(fixture.Receiver.Probes)));
        Assert.Equal(["delivered"], await fixture.OutcomesAsync(id));
    }

    public void Dispose() => Directory.GetParent(_key)!.Delete(recursive: true);

    private Task<DeliveryFixture> StartAsync()
    {
        if (!File.Exists(_key))
        {
            using var key = RSA.Create(2048);
            File.WriteAllText(_key, key.ExportPkcs8PrivateKeyPem());
        }

        var place = $"Delivery:Destinations:{DeliveryFixture.Destination}:Token";
        return DeliveryFixture.StartAsync(settings: new Dictionary<string, string?>
        {
            [$"{place}:Url"] = "{receiver}/token",
            [$"{place}:ClientId"] = "ear-gateway",
            [$"{place}:KeyFile"] = _key,
            [$"{place}:KeyId"] = "key-1",
            [$"{place}:Scope"] = "system/Bundle.c",
        });
    }

    private static string Authorization(IRequestMessage request) => request.Headers!["Authorization"].Single();

    private static string Text(JsonElement json, string name) => json.GetProperty(name).GetString()!;

    private static (JsonElement Header, JsonElement Claims, byte[] Signed, byte[] Signature) Read(string token)
    {
        var parts = token.Split('.');
        return (Json(parts[0]), Json(parts[1]), System.Text.Encoding.ASCII.GetBytes($"{parts[0]}.{parts[1]}"), System.Buffers.Text.Base64Url.DecodeFromChars(parts[2]));
    }

    private static JsonElement Json(string part) => JsonDocument.Parse(System.Buffers.Text.Base64Url.DecodeFromChars(part)).RootElement;
}
