using System.Globalization;
using System.Security.Cryptography;
using System.Text.Json;
using EarReferral.Gateway.Security;
using Microsoft.IdentityModel.JsonWebTokens;
using Microsoft.IdentityModel.Tokens;

namespace EarReferral.Gateway.Demo;

/// <summary>Clients of the demo, one of each kind; their keys are made at the first start and stay in the folder of the state.</summary>
internal static class DemoClients
{
    private static readonly (string Id, string Kind, string? Of, string Scopes)[] All =
    [
        ("demo-clinic", "clinic", "harbour-lane", "intake.write clinic.read clinic.write system/*.rs"),
        ("demo-gp", "gpPractice", "MRS42", "system/*.rs"),
        ("demo-ent", "ent", "westerquay-ent", "system/*.rs system/Task.u"),
        ("demo-operator", "operator", null, "operations"),
        ("demo-board", "boardUser", "harbour-lane", "clinic.read clinic.write system/*.rs"),
    ];

    /// <summary>Their ids.</summary>
    public static IEnumerable<string> Ids => All.Select(client => client.Id);

    /// <summary>Makes keys that are not there yet and gives the settings that register the clients.</summary>
    public static Dictionary<string, string?> Register(string dataFolder)
    {
        var settings = new Dictionary<string, string?>();
        foreach (var (id, kind, of, scopes) in All)
        {
            var key = $"{SecurityOptions.Section}:Clients:{id}";
            settings[$"{key}:Kind"] = kind;
            settings[$"{key}:Of"] = of;
            settings[$"{key}:Scopes"] = scopes;
            settings[$"{key}:KeysFile"] = Keys(dataFolder, id);
            settings[$"{key}:Demo"] = "true";
        }

        return settings;
    }

    /// <summary>An assertion of a demo client; null when its key was not made in this folder.</summary>
    /// <param name="dataFolder">Folder of the state.</param>
    /// <param name="id">Client id.</param>
    /// <param name="tokenAddress">Whom it is for.</param>
    /// <param name="now">Now; it is good for a minute.</param>
    public static string? Assertion(string dataFolder, string id, Uri tokenAddress, DateTimeOffset now)
    {
        var file = PrivateKey(dataFolder, id);
        if (!File.Exists(file))
        {
            return null;
        }

        using var key = KeyFiles.Read(file);
        return Sign(key, id, tokenAddress, now);
    }

    /// <summary>Scopes that a demo client may ask for.</summary>
    public static string Scopes(string id) => All.First(client => client.Id == id).Scopes;

    private static string Sign(ECDsa key, string id, Uri tokenAddress, DateTimeOffset now)
    {
        var security = new ECDsaSecurityKey(key) { KeyId = id, CryptoProviderFactory = new CryptoProviderFactory { CacheSignatureProviders = false } };
        return new JsonWebTokenHandler { SetDefaultTimesOnTokenCreation = false }.CreateToken(new SecurityTokenDescriptor
        {
            Issuer = id,
            Audience = tokenAddress.AbsoluteUri,
            Expires = now.AddMinutes(1).UtcDateTime,
            TokenType = "JWT",
            Claims = new Dictionary<string, object> { ["sub"] = id, ["jti"] = Guid.NewGuid().ToString("N", CultureInfo.InvariantCulture) },
            SigningCredentials = new SigningCredentials(security, SecurityAlgorithms.EcdsaSha384),
        });
    }

    private static string Keys(string dataFolder, string id)
    {
        var (secret, published) = (PrivateKey(dataFolder, id), Path.Combine(dataFolder, "keys", $"{id}.jwks.json"));
        KeyFiles.Make(secret);
        if (!File.Exists(published))
        {
            using var key = KeyFiles.Read(secret);
            var point = key.ExportParameters(includePrivateParameters: false).Q;
            KeyFiles.Write(published, JsonSerializer.Serialize(new
            {
                keys = new[] { new { kty = "EC", crv = "P-384", alg = "ES384", use = "sig", kid = id, x = Base64UrlEncoder.Encode(point.X), y = Base64UrlEncoder.Encode(point.Y) } },
            }));
        }

        return published;
    }

    private static string PrivateKey(string dataFolder, string id) => Path.Combine(dataFolder, "keys", $"{id}.pem");
}
