using Microsoft.IdentityModel.Tokens;
using OpenIddict.Server;
using static OpenIddict.Abstractions.OpenIddictConstants;
using static OpenIddict.Server.OpenIddictServerEvents;

namespace EarReferral.Gateway.Security.Tokens;

/// <summary>
/// How the signature of a client's assertion is checked: RS384 and ES384 alone, by the one key that its <c>kid</c> names, typed
/// <c>JWT</c> as SMART shapes it, or as RFC 7523bis does, or not at all.
/// </summary>
/// <remarks>Source: SMART App Launch 2, client-confidential-asymmetric. The library as it comes refuses the type that SMART prescribes.</remarks>
internal sealed class AssertionKeys(ClientRegistry clients) : IOpenIddictServerHandler<ValidateTokenContext>
{
    /// <summary>Algorithms that are taken, as they are advertised.</summary>
    public static readonly IReadOnlyList<string> Algorithms = [SecurityAlgorithms.RsaSha384, SecurityAlgorithms.EcdsaSha384];

    private const string OwnType = "client-authentication+jwt";

    /// <summary>Runs when the library has made its own parameters.</summary>
    public static OpenIddictServerHandlerDescriptor Descriptor { get; } = OpenIddictServerHandlerDescriptor.CreateBuilder<ValidateTokenContext>()
        .UseSingletonHandler<AssertionKeys>()
        .SetOrder(OpenIddictServerHandlers.Protection.ResolveTokenValidationParameters.Descriptor.Order + 500)
        .SetType(OpenIddictServerHandlerType.Custom)
        .Build();

    /// <summary>Parameters by which the signature and the type of an assertion are judged; what it claims is judged by <see cref="AssertionClaims"/>.</summary>
    public static TokenValidationParameters Parameters(ClientRegistry clients) => new()
    {
        ValidateAudience = false,
        ValidateIssuer = false,
        ValidateLifetime = false,
        RequireSignedTokens = true,
        TryAllIssuerSigningKeys = false,
        ValidAlgorithms = Algorithms,
        TypeValidator = (type, _, _) => string.IsNullOrEmpty(type) || type is "JWT" or OwnType
            ? OwnType
            : throw new SecurityTokenInvalidTypeException($"An assertion is not typed {type}.") { InvalidType = type },
        IssuerSigningKeyResolver = (_, token, keyId, _) => clients.KeyFor(token.Issuer, keyId, (token as Microsoft.IdentityModel.JsonWebTokens.JsonWebToken)?.Alg),
    };

    /// <inheritdoc />
    public ValueTask HandleAsync(ValidateTokenContext context)
    {
        if (context.ValidTokenTypes.Count == 1 && context.ValidTokenTypes.Contains(TokenTypeIdentifiers.Private.ClientAssertion))
        {
            context.TokenValidationParameters = Parameters(clients);
            // The library would take the issuer as audience, which SMART does not; AssertionClaims judges it.
            context.DisableAudienceValidation = true;
        }

        return ValueTask.CompletedTask;
    }
}
