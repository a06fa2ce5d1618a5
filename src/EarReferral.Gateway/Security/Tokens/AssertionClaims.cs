using System.Globalization;
using EarReferral.Storage.Security;
using Microsoft.IdentityModel.JsonWebTokens;
using OpenIddict.Abstractions;
using OpenIddict.Server;
using static OpenIddict.Server.OpenIddictServerEvents;

namespace EarReferral.Gateway.Security.Tokens;

/// <summary>What an assertion whose signature holds must say: for this token address, for at most five minutes, by and about one client, and never before.</summary>
/// <remarks>Source: SMART App Launch 2, client-confidential-asymmetric; RFC 7523, section 3.</remarks>
internal sealed class AssertionClaims(AccessStore used, TokenAddress address, TimeProvider clock) : IOpenIddictServerHandler<ProcessAuthenticationContext>
{
    /// <summary>Longest life of an assertion.</summary>
    public static readonly TimeSpan Longest = TimeSpan.FromMinutes(5);

    /// <summary>How far two clocks may differ (our own choice; the specification gives none).</summary>
    public static readonly TimeSpan Skew = TimeSpan.FromSeconds(5);

    private const int LongestId = 200;

    /// <summary>Runs when the signature holds, before the library's own look at the claims, which would call a missing one a bad request.</summary>
    public static OpenIddictServerHandlerDescriptor Descriptor { get; } = OpenIddictServerHandlerDescriptor.CreateBuilder<ProcessAuthenticationContext>()
        .AddFilter<OpenIddictServerHandlerFilters.RequireClientAssertionPrincipal>()
        .UseSingletonHandler<AssertionClaims>()
        .SetOrder(OpenIddictServerHandlers.ValidateClientAssertionWellknownClaims.Descriptor.Order - 500)
        .SetType(OpenIddictServerHandlerType.Custom)
        .Build();

    /// <summary>Says what is wrong with the claims; null when they hold.</summary>
    public static string? Problem(JsonWebToken assertion, Uri tokenAddress, DateTimeOffset now)
    {
        if (string.IsNullOrEmpty(assertion.Issuer) || assertion.Issuer != assertion.Subject)
        {
            return "iss and sub are the client id.";
        }

        if (assertion.Audiences.ToList() is not [var audience] || audience != tokenAddress.AbsoluteUri)
        {
            return "aud is the token address.";
        }

        if (Expiry(assertion) is not { } expires || expires + Skew <= now || expires > now + Longest)
        {
            return "exp is at most five minutes ahead and not past.";
        }

        if (assertion.TryGetPayloadValue<long>("nbf", out var notBefore) && notBefore > (now + Skew).ToUnixTimeSeconds())
        {
            return "nbf is ahead.";
        }

        return string.IsNullOrEmpty(assertion.Id) || assertion.Id.Length > LongestId ? string.Create(CultureInfo.InvariantCulture, $"jti is there and at most {LongestId} characters long.") : null;
    }

    /// <inheritdoc />
    public async ValueTask HandleAsync(ProcessAuthenticationContext context)
    {
        var (assertion, now) = (new JsonWebToken(context.ClientAssertion), clock.GetUtcNow());
        var problem = Problem(assertion, address.Value, now);
        if (problem is null && !await used.UseOnceAsync(assertion.Issuer, assertion.Id, Expiry(assertion)!.Value + Skew, now, context.CancellationToken))
        {
            problem = "jti was used before.";
        }

        if (problem is not null)
        {
            context.Reject(OpenIddictConstants.Errors.InvalidClient, problem);
        }
    }

    private static DateTimeOffset? Expiry(JsonWebToken assertion) =>
        assertion.TryGetPayloadValue<long>("exp", out var seconds) && seconds is > 0 and < 253_402_300_799 ? DateTimeOffset.FromUnixTimeSeconds(seconds) : null;
}
