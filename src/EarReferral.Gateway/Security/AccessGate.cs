using EarReferral.Gateway.Intake;
using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.Authentication.JwtBearer;
using Microsoft.Extensions.Options;
using OpenIddict.Abstractions;

namespace EarReferral.Gateway.Security;

/// <summary>The one place where a request learns who made it and whether its route is for them: 401 for nobody known, 403 for a route or scope that is not theirs. What is out of reach is the store's to hide, as 404.</summary>
internal sealed class AccessGate(RequestDelegate next, ClientRegistry clients, IOptions<SecurityOptions> security, ILogger<AccessGate> logger)
{
    /// <summary>Lets the request through or answers it.</summary>
    public async Task InvokeAsync(HttpContext context)
    {
        if (context.GetEndpoint() is not { } endpoint)
        {
            await next(context);
            return;
        }

        if (RouteRules.Find(endpoint, context.Request.Method) is not { } rule)
        {
            // The framework's own answer to a wrong method shows nothing and is for everybody.
            if (endpoint is not RouteEndpoint)
            {
                await next(context);
                return;
            }

            Log.RouteWithoutRule(logger, endpoint.DisplayName ?? "");
            context.Response.StatusCode = StatusCodes.Status403Forbidden;
            return;
        }

        var caller = await CallerAsync(context);
        if (caller is not null || rule.IsOpen)
        {
            Callers.Set(context, caller ?? Caller.Nobody);
        }

        if (rule.IsOpen)
        {
            await next(context);
        }
        else if (caller is null && rule == RouteRule.People)
        {
            context.Response.StatusCode = StatusCodes.Status401Unauthorized;
        }
        else if (caller is null)
        {
            context.Response.Headers.WWWAuthenticate = "Bearer";
            context.Response.StatusCode = StatusCodes.Status401Unauthorized;
        }
        else if (!IsFor(rule, caller, context))
        {
            Log.AccessRefused(logger, caller.Name, endpoint.DisplayName ?? "");
            context.Response.Headers.WWWAuthenticate = "Bearer error=\"insufficient_scope\"";
            context.Response.StatusCode = StatusCodes.Status403Forbidden;
        }
        else
        {
            await next(context);
        }
    }

    private async Task<Caller?> CallerAsync(HttpContext context)
    {
        if (context.Request.Headers.Authorization.Count == 0)
        {
            return security.Value.LocalCaller ? Caller.Local : null;
        }

        var result = await context.AuthenticateAsync(JwtBearerDefaults.AuthenticationScheme);
        // By the registration as it is now: a client that was taken out has no reach, whatever its token says.
        return result.Principal is { } principal && clients.Find(principal.GetClaim(OpenIddictConstants.Claims.Subject)) is { } client
            ? new Caller(client.Id, client.Kind, client.Reach, ScopeSet.Of(principal.GetClaim(OpenIddictConstants.Claims.Scope)), principal.GetClaim(Tokens.TokenEndpoint.AuditId))
            : null;
    }

    private static bool IsFor(RouteRule rule, Caller caller, HttpContext context)
    {
        if ((rule.Kinds & caller.Kind) == 0)
        {
            return false;
        }

        if (caller.Scopes is not { } scopes)
        {
            return true;
        }

        if (HttpMethods.IsPut(context.Request.Method) && context.Request.Path.StartsWithSegments("/fhir/Task", StringComparison.Ordinal))
        {
            return scopes.Allows("Task", 'u');
        }

        return rule switch
        {
            { Scope: { } scope } => scopes.Has(scope) || (caller.Kind == CallerKinds.Operator && scopes.Has(ScopeSet.Operations)),
            // A page of the record is what the document is: the same right.
            { Discloses: { } type } => scopes.Allows(type, 'r'),
            _ => true,
        };
    }
}
