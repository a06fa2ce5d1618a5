using System.Security.Claims;
using EarReferral.Storage.Audit;
using Microsoft.AspNetCore;
using Microsoft.AspNetCore.Authentication;
using OpenIddict.Abstractions;
using OpenIddict.Server.AspNetCore;

namespace EarReferral.Gateway.Security.Tokens;

/// <summary>Gives a client whose assertion held an access token for what lies within its registration.</summary>
internal static class TokenEndpoint
{
    /// <summary>Life of an access token (SMART App Launch 2, backend services: at most 300 seconds).</summary>
    public static readonly TimeSpan Life = TimeSpan.FromSeconds(300);

    /// <summary>Claim with the id under which audit rows name a token; the library gives every token a <c>jti</c> of its own after its row is written.</summary>
    public const string AuditId = "audit_id";

    /// <summary>Maps the address.</summary>
    public static void MapTokens(this IEndpointRouteBuilder routes) =>
        routes.MapPost($"/{TokenAddress.Path}", GiveAsync).ExcludeFromDescription().DisableAntiforgery();

    private static async Task<IResult> GiveAsync(HttpContext context, ClientRegistry clients, AuditStore audit, TokenAddress address, TimeProvider clock)
    {
        var request = context.GetOpenIddictServerRequest() ?? throw new InvalidOperationException("The token server did not read this request.");
        if (clients.Find(request.ClientId) is not { } client)
        {
            return Refused(OpenIddictConstants.Errors.InvalidClient);
        }

        var granted = client.Scopes.Grant(request.Scope);
        if (granted.Count == 0)
        {
            return Refused(OpenIddictConstants.Errors.InvalidScope);
        }

        // A token is given only after its audit row is committed.
        var id = Guid.NewGuid().ToString("N");
        await audit.AppendAsync(
            [new AuditEntry(clock.GetUtcNow(), AuditAction.IssueToken, AuditResult.Success, client.Id, string.Empty, RequestId: context.TraceIdentifier, Purpose: string.Join(' ', granted)) { TokenId = id }],
            context.RequestAborted);
        var identity = new ClaimsIdentity("assertion", OpenIddictConstants.Claims.Subject, OpenIddictConstants.Claims.Role);
        identity.SetClaim(OpenIddictConstants.Claims.Subject, client.Id);
        identity.SetClaim(AuditId, id);
        identity.SetScopes(granted);
        identity.SetResources(address.Audience);
        identity.SetDestinations(_ => [OpenIddictConstants.Destinations.AccessToken]);
        return Results.SignIn(
            new ClaimsPrincipal(identity),
            new AuthenticationProperties(parameters: new Dictionary<string, object?>(), items: new Dictionary<string, string?>())
            {
                Parameters = { ["scope"] = new OpenIddictParameter(string.Join(' ', granted)) },
            },
            OpenIddictServerAspNetCoreDefaults.AuthenticationScheme);
    }

    private static IResult Refused(string error) => Results.Forbid(
        new AuthenticationProperties(new Dictionary<string, string?> { [OpenIddictServerAspNetCoreConstants.Properties.Error] = error }),
        [OpenIddictServerAspNetCoreDefaults.AuthenticationScheme]);
}
