using System.Buffers.Text;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using EarReferral.Security.Tests.Support;

namespace EarReferral.Security.Tests.Tokens;

/// <summary>
/// Vectors V-SEC. Source: SMART App Launch 2, backend services and client-confidential-asymmetric; RFC 7523, section 3; RFC 8725 for the
/// algorithms. Assertions are put together by hand, not by the library under test.
/// </summary>
public sealed class TokenTests(GuardedGateway gateway) : IClassFixture<GuardedGateway>
{
    private const string Client = "gpPractice";
    private const string Procedures = "/fhir/Procedure?_lastUpdated=ge2020-01-01";
    private const string Scope = "system/Procedure.rs";

    [Fact]
    public async Task T01_GoodAssertionOfEitherAlgorithm_GetsATokenOfAtMostFiveMinutes()
    {
        foreach (var assertion in new[] { gateway.Good(Client), Signed(Header("RS384", "modulus"), GuardedGateway.Claims(Client), Assertion.Rs384(gateway.Modulus)) })
        {
            var (status, body) = await gateway.AskAsync(assertion, Scope);

            Assert.True(status == 200, body.ToJsonString());
            Assert.InRange((int)body["expires_in"]!, 1, 300);
            Assert.Equal(("Bearer", Scope), ((string?)body["token_type"], (string?)body["scope"]));
            Assert.Null(body["refresh_token"]);
            var (read, _) = await gateway.SendAsync((string)body["access_token"]!, HttpMethod.Get, Procedures);
            Assert.Equal(200, read);
        }
    }

    [Fact]
    public async Task T02_AssertionIsGoodOnce()
    {
        var assertion = gateway.Good(Client);
        var first = await gateway.AskAsync(assertion, Scope);
        var second = await gateway.AskAsync(assertion, Scope);
        // Another assertion under the same jti is no better.
        var claims = GuardedGateway.Claims(Client);
        var (third, fourth) = (Signed(Header("ES384", "curve"), claims, Es), Signed(Header("RS384", "modulus"), claims, Assertion.Rs384(gateway.Modulus)));

        Assert.Equal(200, first.Status);
        AssertRefused(second);
        Assert.Equal(200, (await gateway.AskAsync(third, Scope)).Status);
        AssertRefused(await gateway.AskAsync(fourth, Scope));
    }

    [Fact]
    public async Task T02_OfManyAtOnce_OneGetsAToken()
    {
        var assertion = gateway.Good(Client);
        var answers = await Task.WhenAll(Enumerable.Range(0, 8).Select(_ => gateway.AskAsync(assertion, Scope)));

        Assert.Single(answers, answer => answer.Status == 200);
    }

    public static TheoryData<string, string> Wrong => new()
    {
        { "T03", "exp more than five minutes ahead" }, { "T03", "exp past" }, { "T03", "no exp" }, { "T03", "exp is text" },
        { "T04", "aud is the FHIR base" }, { "T04", "aud of another host" }, { "T04", "no aud" }, { "T04", "two audiences" },
        { "T05", "alg none" }, { "T05", "HS384 with the public key" }, { "T05", "RS256" }, { "T05", "PS384" }, { "T05", "ES384 header over an RSA key" },
        { "T06", "no kid" }, { "T06", "unknown kid" }, { "T06", "other key under the kid" },
        { "T07", "iss and sub differ" }, { "T07", "unknown client" },
        { "jti", "no jti" }, { "jti", "jti of 10000 letters" }, { "nbf", "nbf ahead" },
        { "typ", "at+jwt" }, { "RFC 7515", "not a JWT" }, { "RFC 7515", "signature cut" }, { "RFC 7515", "claims changed after signing" },
    };

    [Theory]
    [MemberData(nameof(Wrong))]
    public async Task WrongAssertion_IsInvalidClient(string vector, string what)
    {
        var answer = await gateway.AskAsync(Make(what), Scope);

        Assert.True(answer.Status is 400 or 401 && (string?)answer.Body["error"] == "invalid_client", $"{vector} {what}: {answer.Status} {answer.Body.ToJsonString()}");
        Assert.Null(answer.Body["access_token"]);
    }

    [Fact]
    public async Task T06_TwoKeysUnderOneKid_AreNone_AndT11_ARotatedKeyIsTakenWithoutRestart()
    {
        await using var own = new GuardedGateway();
        await own.InitializeAsync();
        using var next = ECDsa.Create(ECCurve.NamedCurves.nistP384);
        await own.WriteKeysAsync([Assertion.Jwk(own.Curve, "curve"), Assertion.Jwk(next, "curve")]);
        File.SetLastWriteTimeUtc(own.KeysFile, DateTime.UtcNow.AddSeconds(10));
        AssertRefused(await own.AskAsync(own.Good(Client), Scope));

        await own.WriteKeysAsync([Assertion.Jwk(next, "next")]);
        File.SetLastWriteTimeUtc(own.KeysFile, DateTime.UtcNow.AddSeconds(20));
        AssertRefused(await own.AskAsync(own.Good(Client), Scope));
        Assert.Equal(200, (await own.AskAsync(Signed(Header("ES384", "next"), GuardedGateway.Claims(Client), Assertion.Es384(next)), Scope)).Status);
    }

    [Theory]
    [InlineData("system/Procedure.sr", "invalid_scope")]
    [InlineData("system/Procedure.cruds", "invalid_scope")]
    [InlineData("operations", "invalid_scope")]
    [InlineData("system/Procedure.rs?code=1", "invalid_scope")]
    [InlineData("user/Procedure.rs", "invalid_scope")]
    [InlineData("", "invalid_scope")]
    public async Task T09_ScopeBeyondTheRegistration_IsRefused(string scope, string error) =>
        Assert.Equal(error, (string?)(await gateway.AskAsync(gateway.Good(Client), scope)).Body["error"]);

    [Fact]
    public async Task T09_OfSeveralScopes_ThoseWithinTheRegistrationAreGranted()
    {
        var (status, body) = await gateway.AskAsync(gateway.Good("gp-narrow"), "system/Procedure.r system/Observation.rs operations");

        Assert.Equal((200, "system/Procedure.r"), (status, (string?)body["scope"]));
        var token = (string)body["access_token"]!;
        Assert.Equal(403, (await gateway.SendAsync(token, HttpMethod.Get, Procedures)).Status);
        Assert.Equal(404, (await gateway.SendAsync(token, HttpMethod.Get, $"/fhir/Procedure/{Guid.NewGuid()}")).Status);
        Assert.Equal(403, (await gateway.SendAsync(token, HttpMethod.Get, $"/fhir/Observation/{Guid.NewGuid()}")).Status);
    }

    [Theory]
    [InlineData("changed")]
    [InlineData("none")]
    [InlineData("an assertion")]
    [InlineData("no token")]
    public async Task AccessTokenThatIsNotOurs_Is401(string what)
    {
        var token = await gateway.TokenAsync(Client);
        var parts = token.Split('.');
        var claims = JsonSerializer.Deserialize<Dictionary<string, JsonElement>>(Base64Url.DecodeFromChars(parts[1]))!;
        var forged = what switch
        {
            "changed" => $"{parts[0]}.{Base64Url.EncodeToString(JsonSerializer.SerializeToUtf8Bytes(claims.ToDictionary(each => each.Key, each => each.Key == "sub" ? (object)"clinic" : each.Value)))}.{parts[2]}",
            "none" => $"{Base64Url.EncodeToString("{\"alg\":\"none\",\"typ\":\"at+jwt\"}"u8)}.{parts[1]}.",
            "an assertion" => gateway.Good(Client),
            _ => "x",
        };

        Assert.Equal(200, (await gateway.SendAsync(token, HttpMethod.Get, Procedures)).Status);
        Assert.Equal(401, (await gateway.SendAsync(forged, HttpMethod.Get, Procedures)).Status);
    }

    [Fact]
    public async Task SmartConfiguration_NamesWhatTheSpecificationRequires()
    {
        var (status, body) = await gateway.SendAsync(null, HttpMethod.Get, "/fhir/.well-known/smart-configuration");
        var read = JsonDocument.Parse(body).RootElement;

        Assert.Equal(200, status);
        Assert.Equal(GuardedGateway.TokenAddress, read.GetProperty("token_endpoint").GetString());
        Assert.Equal(["client_credentials"], Texts(read, "grant_types_supported"));
        Assert.Equal(["private_key_jwt"], Texts(read, "token_endpoint_auth_methods_supported"));
        Assert.Equal(["ES384", "RS384"], Texts(read, "token_endpoint_auth_signing_alg_values_supported").Order());
        Assert.Contains("S256", Texts(read, "code_challenge_methods_supported"));
        Assert.DoesNotContain("plain", Texts(read, "code_challenge_methods_supported"));
        Assert.Contains("client-confidential-asymmetric", Texts(read, "capabilities"));
        Assert.Contains("permission-v2", Texts(read, "capabilities"));
    }

    private static IEnumerable<string?> Texts(JsonElement from, string name) => from.GetProperty(name).EnumerateArray().Select(each => each.GetString());

    private static void AssertRefused((int Status, System.Text.Json.Nodes.JsonObject Body) answer) =>
        Assert.True((string?)answer.Body["error"] == "invalid_client", $"{answer.Status} {answer.Body.ToJsonString()}");

    private static object Header(string alg, string kid) => new { alg, kid, typ = "JWT" };

    private static string Signed(object header, object claims, Func<byte[], byte[]> sign) => Assertion.Sign(header, claims, sign);

    private Func<byte[], byte[]> Es => Assertion.Es384(gateway.Curve);

    private string Make(string what)
    {
        var claims = GuardedGateway.Claims(Client);
        var header = Header("ES384", "curve");
        switch (what)
        {
            case "exp more than five minutes ahead": claims["exp"] = DateTimeOffset.UtcNow.AddSeconds(330).ToUnixTimeSeconds(); break;
            case "exp past": claims["exp"] = DateTimeOffset.UtcNow.AddSeconds(-30).ToUnixTimeSeconds(); break;
            case "no exp": claims.Remove("exp"); break;
            case "exp is text": claims["exp"] = "soon"; break;
            case "aud is the FHIR base": claims["aud"] = "http://127.0.0.1:5080/fhir"; break;
            case "aud of another host": claims["aud"] = "https://elsewhere.example/oauth/token"; break;
            case "no aud": claims.Remove("aud"); break;
            case "two audiences": claims["aud"] = new[] { GuardedGateway.TokenAddress, "https://elsewhere.example/" }; break;
            case "iss and sub differ": claims["sub"] = "clinic"; break;
            case "unknown client": (claims["iss"], claims["sub"]) = ("nobody", "nobody"); break;
            case "no jti": claims.Remove("jti"); break;
            case "jti of 10000 letters": claims["jti"] = new string('x', 10_000); break;
            case "nbf ahead": claims["nbf"] = DateTimeOffset.UtcNow.AddMinutes(2).ToUnixTimeSeconds(); break;
            case "alg none": return Signed(new { alg = "none", kid = "curve" }, claims, _ => []);
            case "HS384 with the public key":
                return Signed(Header("HS384", "curve"), claims, bytes => HMACSHA384.HashData(Encoding.ASCII.GetBytes(gateway.Curve.ExportSubjectPublicKeyInfoPem()), bytes));
            case "RS256": return Signed(Header("RS256", "modulus"), claims, bytes => gateway.Modulus.SignData(bytes, HashAlgorithmName.SHA256, RSASignaturePadding.Pkcs1));
            case "PS384": return Signed(Header("PS384", "modulus"), claims, bytes => gateway.Modulus.SignData(bytes, HashAlgorithmName.SHA384, RSASignaturePadding.Pss));
            case "ES384 header over an RSA key": return Signed(Header("ES384", "modulus"), claims, Assertion.Rs384(gateway.Modulus));
            case "no kid": header = new { alg = "ES384", typ = "JWT" }; break;
            case "unknown kid": header = Header("ES384", "other"); break;
            case "other key under the kid":
                using (var other = ECDsa.Create(ECCurve.NamedCurves.nistP384))
                {
                    return Signed(header, claims, Assertion.Es384(other));
                }

            case "at+jwt": header = new { alg = "ES384", kid = "curve", typ = "at+jwt" }; break;
            case "not a JWT": return "not.a.jwt";
            case "signature cut": return gateway.Good(Client)[..^8];
            case "claims changed after signing":
                var parts = gateway.Good(Client).Split('.');
                return $"{parts[0]}.{Base64Url.EncodeToString(JsonSerializer.SerializeToUtf8Bytes(claims))}.{parts[2]}";
            default: throw new ArgumentOutOfRangeException(nameof(what), what, "no such vector");
        }

        return Signed(header, claims, Es);
    }
}
