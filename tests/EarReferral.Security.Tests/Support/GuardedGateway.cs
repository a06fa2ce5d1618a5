using System.Net.Http.Headers;
using System.Security.Cryptography;
using System.Text.Json;
using System.Text.Json.Nodes;
using EarReferral.Gateway.Tests.Referrals;

namespace EarReferral.Security.Tests.Support;

/// <summary>The gateway as it stands when callers must say who they are, with a client of each kind, own and foreign.</summary>
public sealed class GuardedGateway : IAsyncLifetime
{
    public const string TokenAddress = "http://127.0.0.1:5080/oauth/token";

    /// <summary>Client id, kind, whose it is, scopes.</summary>
    internal static readonly (string Id, string Kind, string? Of, string Scopes)[] Clients =
    [
        ("clinic", "clinic", "harbour-lane", "intake.write clinic.read clinic.write system/*.rs"),
        ("clinic-foreign", "clinic", "saltmarsh-ears", "intake.write clinic.read clinic.write system/*.rs"),
        ("gpPractice", "gpPractice", "MRS42", "system/*.rs"),
        ("gpPractice-foreign", "gpPractice", "MRS99", "system/*.rs"),
        ("gp-narrow", "gpPractice", "MRS42", "system/Procedure.rs system/Composition.r"),
        ("ent", "ent", RunningGateway.Destination, "system/*.rs system/Task.u"),
        ("ent-foreign", "ent", "eastmoor-ent", "system/*.rs system/Task.u"),
        ("operator", "operator", null, "operations"),
        ("boardUser", "boardUser", "harbour-lane", "clinic.read clinic.write system/*.rs"),
        ("boardUser-foreign", "boardUser", "saltmarsh-ears", "clinic.read clinic.write system/*.rs"),
    ];

    private readonly string folder = Directory.CreateTempSubdirectory("ear-clients-").FullName;

    internal RunningGateway Gateway { get; } = new();

    internal HttpClient Http => Gateway.Client;

    internal ECDsa Curve { get; } = ECDsa.Create(ECCurve.NamedCurves.nistP384);

    internal RSA Modulus { get; } = RSA.Create(2048);

    internal string KeysFile => Path.Combine(folder, "keys.json");

    public async ValueTask InitializeAsync()
    {
        await WriteKeysAsync([Assertion.Jwk(Curve, "curve"), Assertion.Jwk(Modulus, "modulus")]);
        Gateway.Settings["Security:LocalCaller"] = "false";
        Gateway.Settings["Security:AnonymousRequestsPerMinute"] = "100000";
        Gateway.Settings["Security:RequestsPerMinute"] = "100000";
        foreach (var (id, kind, of, scopes) in Clients)
        {
            Gateway.Settings[$"Security:Clients:{id}:Kind"] = kind;
            Gateway.Settings[$"Security:Clients:{id}:Of"] = of;
            Gateway.Settings[$"Security:Clients:{id}:Scopes"] = scopes;
            Gateway.Settings[$"Security:Clients:{id}:KeysFile"] = KeysFile;
        }

        await Gateway.InitializeAsync();
    }

    public async ValueTask DisposeAsync()
    {
        await Gateway.DisposeAsync();
        Curve.Dispose();
        Modulus.Dispose();
        Directory.Delete(folder, recursive: true);
    }

    internal Task WriteKeysAsync(object[] keys) => File.WriteAllTextAsync(KeysFile, JsonSerializer.Serialize(new { keys }));

    /// <summary>Claims as SMART asks for them.</summary>
    internal static Dictionary<string, object> Claims(string client) => new()
    {
        ["iss"] = client,
        ["sub"] = client,
        ["aud"] = TokenAddress,
        ["exp"] = DateTimeOffset.UtcNow.AddMinutes(4).ToUnixTimeSeconds(),
        ["jti"] = Guid.NewGuid().ToString(),
    };

    internal string Good(string client) => Assertion.Sign(new { alg = "ES384", kid = "curve", typ = "JWT" }, Claims(client), Assertion.Es384(Curve));

    /// <summary>Asks for a token; gives status and body.</summary>
    internal async Task<(int Status, JsonObject Body)> AskAsync(string assertion, string scope)
    {
        using var form = new FormUrlEncodedContent(new Dictionary<string, string>
        {
            ["grant_type"] = "client_credentials",
            ["scope"] = scope,
            ["client_assertion_type"] = "urn:ietf:params:oauth:client-assertion-type:jwt-bearer",
            ["client_assertion"] = assertion,
        });
        using var answer = await Http.PostAsync(new Uri("/oauth/token", UriKind.Relative), form, TestContext.Current.CancellationToken);
        var text = await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
        return ((int)answer.StatusCode, JsonNode.Parse(text.Length == 0 ? "{}" : text)!.AsObject());
    }

    /// <summary>An access token with everything that the client is registered for.</summary>
    internal async Task<string> TokenAsync(string client)
    {
        var (status, body) = await AskAsync(Good(client), Clients.Single(each => each.Id == client).Scopes);
        Assert.True(status == 200, body.ToJsonString());
        return (string)body["access_token"]!;
    }

    /// <summary>Sends a request as a client; null for nobody.</summary>
    internal async Task<(int Status, string Body)> SendAsync(string? token, HttpMethod method, string address, string? body = null, string media = "application/json")
    {
        using var request = new HttpRequestMessage(method, new Uri(address.StartsWith("http", StringComparison.Ordinal) ? new Uri(address).PathAndQuery : address, UriKind.Relative));
        if (token is not null)
        {
            request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", token);
        }

        if (body is not null)
        {
            request.Content = new StringContent(body, System.Text.Encoding.UTF8, media);
        }

        using var answer = await Http.SendAsync(request, TestContext.Current.CancellationToken);
        return ((int)answer.StatusCode, await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken));
    }

    /// <summary>Posts an example as the clinic, waiting until the gateway is warm.</summary>
    internal async Task<JsonObject> PostAsync(string token, JsonObject document)
    {
        while (true)
        {
            var (status, body) = await SendAsync(token, HttpMethod.Post, "/encounters", document.ToJsonString());
            if (status != 503)
            {
                Assert.True(status == 201, body);
                return JsonNode.Parse(body)!.AsObject();
            }

            await Task.Delay(500, TestContext.Current.CancellationToken);
        }
    }
}
