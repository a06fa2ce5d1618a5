using System.Text;
using EarReferral.Gateway.Fhir;
using EarReferral.Gateway.Intake;
using EarReferral.Gateway.Referrals;
using EarReferral.Storage.Audit;
using Hl7.Fhir.Model;

namespace EarReferral.Gateway.Security;

/// <summary>
/// Writes an audit row per patient for whatever a route is about to show, before it is shown; without the row nothing is shown. One
/// filter over all routes, so that a new one is audited without asking for it.
/// </summary>
/// <remarks>Shape: HL7 BALP, one AuditEvent per patient in a result, the query as raw bytes, no names and no results.</remarks>
internal sealed class DisclosureFilter(AuditStore audit, TimeProvider clock, ILogger<DisclosureFilter> logger) : IEndpointFilter
{
    /// <inheritdoc />
    public async ValueTask<object?> InvokeAsync(EndpointFilterInvocationContext context, EndpointFilterDelegate next)
    {
        var http = context.HttpContext;
        var result = await next(context);
        if (http.GetEndpoint() is not { } endpoint || RouteRules.Find(endpoint, http.Request.Method) is not { IsOpen: false } rule || Shown(http, rule, result) is not { } shown)
        {
            return result;
        }

        try
        {
            await audit.DiscloseAsync(Entry(http, shown), shown.Resources, shown.Visits, http.RequestAborted);
            return result;
        }
        catch (Exception refused) when (refused is System.Data.Common.DbException or Microsoft.EntityFrameworkCore.DbUpdateException or TimeoutException)
        {
            Log.DisclosureRefused(logger, refused.GetBaseException().GetType().Name);
            return FhirErrors.Concerns(http)
                ? FhirResult.Error(StatusCodes.Status503ServiceUnavailable, OperationOutcome.IssueType.Transient, "The access could not be written down, so nothing is shown.").After(5)
                : Results.Problem(statusCode: StatusCodes.Status503ServiceUnavailable, title: "The access could not be written down, so nothing is shown.");
        }
    }

    private AuditEntry Entry(HttpContext http, Disclosure shown)
    {
        var caller = Callers.Of(http);
        var isSearch = shown.Action is AuditAction.Search or AuditAction.Operation;
        var id = isSearch ? null : shown.Resources.Select(each => each.Id).Concat(shown.Visits.Select(each => each.ToString())).FirstOrDefault();
        return new AuditEntry(
            clock.GetUtcNow(), shown.Action, AuditResult.Success, caller.Name, caller.Clinic ?? string.Empty, null, null, shown.Type, id, http.TraceIdentifier,
            (caller.Kind & (CallerKinds.OfClinic | CallerKinds.Operator)) != 0 ? AuditEntry.OwnRecord : null,
            isSearch ? (ReadOnlyMemory<byte>?)(Encoding.UTF8.GetBytes($"{http.Request.Method} {http.Request.Path}{http.Request.QueryString}")) : null)
        {
            TokenId = caller.TokenId,
        };
    }

    private static Disclosure? Shown(HttpContext http, RouteRule rule, object? result)
    {
        var (type, id) = (http.GetRouteValue("type") as string, http.GetRouteValue("id") as string);
        if (result is FhirResult fhir)
        {
            return fhir.Status is StatusCodes.Status200OK or StatusCodes.Status304NotModified ? OfFhir(http, fhir, type, id) : null;
        }

        if (rule.Discloses is not { } shown || result is IStatusCodeHttpResult { StatusCode: >= 300 })
        {
            return null;
        }

        if (id is null)
        {
            return Listed(shown, (result as IValueHttpResult)?.Value);
        }

        return shown == "Encounter"
            ? new Disclosure(AuditAction.Read, shown, [], [Guid.Parse(id)])
            : new Disclosure(AuditAction.Read, shown, [(shown, id)], []);
    }

    private static Disclosure? OfFhir(HttpContext http, FhirResult result, string? type, string? id)
    {
        var path = http.Request.Path.Value!;
        if (path.EndsWith("/metadata", StringComparison.Ordinal) || path.EndsWith("/$validate", StringComparison.Ordinal))
        {
            return null;
        }

        if (type is not null && id is not null && http.GetRouteValue("member") is null && !path.Contains("/_history", StringComparison.Ordinal) && !path.Contains('$', StringComparison.Ordinal))
        {
            return Capability.Types.Contains(type) ? new Disclosure(AuditAction.Read, type, [(type, id)], []) : null;
        }

        var resources = Within(result.Resource).Distinct().ToList();
        var action = path.Contains("/_history", StringComparison.Ordinal) ? http.GetRouteValue("version") is null ? AuditAction.History : AuditAction.VersionRead
            : path.Contains('$', StringComparison.Ordinal) ? AuditAction.Operation
            : AuditAction.Search;
        return new Disclosure(action, type ?? (path.Contains('$', StringComparison.Ordinal) ? path.Split('/')[2] : null), resources, []);
    }

    private static IEnumerable<(string Type, string Id)> Within(Resource? resource) => resource switch
    {
        Bundle bundle => bundle.Entry.SelectMany(entry => Within(entry.Resource)),
        { Id: { } id } => [(resource.TypeName, id)],
        _ => [],
    };

    private static Disclosure Listed(string type, object? list) => list switch
    {
        ReferralList referrals => new(AuditAction.Search, type, [.. referrals.Items.Select(item => ("ServiceRequest", item.Id))], []),
        EncounterList encounters => new(AuditAction.Search, type, [], [.. encounters.Items.Select(item => item.Id)]),
        _ => new(AuditAction.Search, type, [], []),
    };

    private sealed record Disclosure(AuditAction Action, string? Type, IReadOnlyCollection<(string Type, string Id)> Resources, IReadOnlyCollection<Guid> Visits);
}
