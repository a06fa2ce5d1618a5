using EarReferral.Storage.Security;
using Microsoft.AspNetCore.Authentication.JwtBearer;
using Microsoft.IdentityModel.Tokens;
using OpenIddict.Server;

namespace EarReferral.Gateway.Security.Tokens;

/// <summary>Registration of the token server and of the check of its tokens.</summary>
internal static class TokenServices
{
    /// <summary>Adds them.</summary>
    /// <param name="services">Services.</param>
    /// <param name="keyFile">Key that signs access tokens.</param>
    public static void AddTokens(this IServiceCollection services, string keyFile)
    {
        var key = new ECDsaSecurityKey(KeyFiles.Read(keyFile));
        key.KeyId = Base64UrlEncoder.Encode(key.ComputeJwkThumbprint());
        services.AddSingleton<TokenAddress>();
        services.AddSingleton<ClientRegistry>();
        services.AddOpenIddict()
            .AddCore(core => core.UseEntityFrameworkCore().UseDbContext<AccessContext>())
            .AddServer(server =>
            {
                server.SetTokenEndpointUris(TokenAddress.Path).SetJsonWebKeySetEndpointUris(TokenAddress.KeysPath).SetConfigurationEndpointUris("oauth/configuration");
                server.AllowClientCredentialsFlow();
                server.SetAccessTokenLifetime(TokenEndpoint.Life);
                // Named with its algorithm: by the key alone the library would sign ES256.
                server.AddSigningCredentials(new SigningCredentials(key, SecurityAlgorithms.EcdsaSha384));
                // Nothing that it encrypts is ever given out; the library wants a key all the same.
                server.AddEphemeralEncryptionKey().DisableAccessTokenEncryption();
                // A token lives five minutes and is checked by its signature; no row is kept of it.
                server.DisableTokenStorage().DisableAuthorizationStorage();
                // Scopes are judged by the registration of the client, which knows what SMART means by them.
                server.DisableScopeValidation().IgnoreScopePermissions().DisableResourceValidation().IgnoreResourcePermissions();
                server.AddEventHandler(AssertionKeys.Descriptor);
                server.AddEventHandler(AssertionClaims.Descriptor);
                server.AddEventHandler(RefusalWords.Descriptor);
                // Transport is judged at the start, by what the gateway listens to and what a proxy ends.
                server.UseAspNetCore().EnableTokenEndpointPassthrough().DisableTransportSecurityRequirement();
            });
        services.AddOptions<OpenIddictServerOptions>().Configure<TokenAddress, TimeProvider>((server, address, clock) => (server.Issuer, server.TimeProvider) = (address.Issuer, clock));
        services.AddAuthentication(JwtBearerDefaults.AuthenticationScheme).AddJwtBearer(bearer => bearer.MapInboundClaims = false);
        services.AddOptions<JwtBearerOptions>(JwtBearerDefaults.AuthenticationScheme).Configure<TokenAddress, TimeProvider>((bearer, address, clock) =>
        {
            bearer.TimeProvider = clock;
            bearer.TokenValidationParameters = new TokenValidationParameters
            {
                ValidIssuer = address.Issuer.AbsoluteUri,
                ValidAudience = address.Audience,
                IssuerSigningKey = key,
                ValidAlgorithms = [SecurityAlgorithms.EcdsaSha384],
                ValidTypes = ["at+jwt"],
                ClockSkew = TimeSpan.FromSeconds(5),
                LifetimeValidator = (from, until, _, parameters) =>
                    until is { } end && clock.GetUtcNow() < new DateTimeOffset(end, TimeSpan.Zero) + parameters.ClockSkew
                    && (from is null || new DateTimeOffset(from.Value, TimeSpan.Zero) - parameters.ClockSkew <= clock.GetUtcNow()),
            };
        });
    }
}
