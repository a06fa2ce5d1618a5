using static EarReferral.Gateway.Security.CallerKinds;

namespace EarReferral.Gateway.Security;

/// <summary>
/// Who may use which route: one table for all of them. A route without a line is refused when it is called, and a test refuses the build
/// before. Whose data is shown on a route is decided by the reach of the caller in the store, not here.
/// </summary>
internal static class RouteRules
{
    private const CallerKinds Staff = OfClinic | Operator;

    /// <summary>Kinds and scope by method and pattern.</summary>
    public static IReadOnlyDictionary<(string Method, string Pattern), RouteRule> Table { get; } = new Dictionary<(string, string), RouteRule>
    {
        [("GET", "/health/live")] = RouteRule.Open,
        [("GET", "/health/ready")] = RouteRule.Open,
        [("GET", "/schema/encounter-v1.schema.json")] = RouteRule.Open,
        [("GET", "/openapi/v1.json")] = RouteRule.Open,
        [("POST", "/oauth/token")] = RouteRule.Open,
        [("POST", "/notifications/{destination}")] = RouteRule.Open,
        [("GET", "/fhir/metadata")] = RouteRule.Open,
        [("GET", "/fhir/.well-known/smart-configuration")] = RouteRule.Open,

        [("POST", "/encounters")] = new(Clinic, ScopeSet.Intake),
        [("POST", "/encounters/preview")] = new(Clinic, ScopeSet.Intake),
        [("PUT", "/encounters/{id:guid}")] = new(Clinic, ScopeSet.Intake),
        [("POST", "/encounters/{id:guid}/answers")] = new(OfClinic, ScopeSet.ClinicWrite),
        [("POST", "/encounters/{id:guid}/decision")] = new(OfClinic, ScopeSet.ClinicWrite),
        [("POST", "/encounters/{id:guid}/retraction")] = new(OfClinic, ScopeSet.ClinicWrite),
        [("POST", "/encounters/{id:guid}/summary-given")] = new(OfClinic, ScopeSet.ClinicWrite),
        [("GET", "/encounters")] = new(OfClinic, ScopeSet.ClinicRead, "Encounter"),
        [("GET", "/encounters/{id:guid}")] = new(OfClinic, ScopeSet.ClinicRead, "Encounter"),
        [("GET", "/encounters/{id:guid}/decisions")] = new(OfClinic, ScopeSet.ClinicRead, "Encounter"),

        [("GET", "/referrals")] = new(Staff, ScopeSet.ClinicRead, "ServiceRequest"),
        [("GET", "/referrals/{id}")] = new(Staff, ScopeSet.ClinicRead, "ServiceRequest"),
        [("GET", "/referrals/{id}/attempts")] = new(Staff, ScopeSet.ClinicRead, "ServiceRequest"),
        [("GET", "/referrals/{id:guid}/letter")] = new(OfClinic, ScopeSet.ClinicRead, "ServiceRequest"),
        [("GET", "/referrals/{id:guid}/letter.pdf")] = new(OfClinic, ScopeSet.ClinicRead, "ServiceRequest"),
        [("POST", "/referrals/{id}/hold")] = new(Staff, ScopeSet.ClinicWrite),
        [("POST", "/referrals/{id}/release")] = new(Staff, ScopeSet.ClinicWrite),
        [("POST", "/referrals/{id}/resend")] = new(Staff, ScopeSet.ClinicWrite),
        [("POST", "/referrals/{id}/redirect")] = new(Staff, ScopeSet.ClinicWrite),
        [("POST", "/referrals/{id}/replay")] = new(Staff, ScopeSet.ClinicWrite),
        [("POST", "/referrals/{id}/objection")] = new(OfClinic, ScopeSet.ClinicWrite),
        [("POST", "/referrals/{id}/cancel")] = new(OfClinic, ScopeSet.ClinicWrite),
        [("POST", "/referrals/{id}/closure")] = new(OfClinic, ScopeSet.ClinicWrite),
        [("POST", "/referrals/{id}/replies")] = new(OfClinic, ScopeSet.ClinicWrite),
        [("POST", "/referrals/{id}/answers-by-hand")] = new(OfClinic, ScopeSet.ClinicWrite),
        [("POST", "/referrals/{id}/calls")] = new(OfClinic, ScopeSet.ClinicWrite),

        [("GET", "/attention")] = new(Staff, ScopeSet.ClinicRead),
        [("GET", "/alarms")] = new(Staff, ScopeSet.ClinicRead),
        [("GET", "/alarms/{id}")] = new(Staff, ScopeSet.ClinicRead),
        [("POST", "/alarms/{id}/acknowledgement")] = new(Staff, ScopeSet.ClinicWrite),
        [("GET", "/quarantine")] = new(Staff, ScopeSet.ClinicRead),
        [("GET", "/quarantine/{id:guid}")] = new(Staff, ScopeSet.ClinicRead),
        [("POST", "/quarantine/{id:guid}/revalidate")] = new(Staff, ScopeSet.ClinicWrite),
        [("POST", "/patients/{id}/link")] = new(OfClinic, ScopeSet.ClinicWrite),
        [("POST", "/patients/{id}/unlink")] = new(OfClinic, ScopeSet.ClinicWrite),
        [("GET", "/destinations")] = new(Staff, ScopeSet.ClinicRead),
        [("POST", "/destinations/{name}/verification")] = new(Operator, ScopeSet.Operations),
        [("POST", "/destinations/{name}/resume")] = new(Operator, ScopeSet.Operations),
        [("GET", "/rules")] = new(Any),
        [("GET", "/rules/comparison")] = new(Operator, ScopeSet.Operations),

        [("GET", "/summaries/{id:guid}")] = new(OfClinic | GpPractice, null, "Composition"),
        [("GET", "/summaries/{id:guid}.pdf")] = new(OfClinic | GpPractice, null, "Composition"),
        [("GET", "/summaries/{id:guid}/patient-copy")] = new(OfClinic | GpPractice, null, "Composition"),
        [("GET", "/summaries/{id:guid}/patient-copy.pdf")] = new(OfClinic | GpPractice, null, "Composition"),

        [("POST", "/fhir")] = new(Readers),
        [("GET", "/fhir/{type}")] = new(Readers),
        [("POST", "/fhir/{type}/_search")] = new(Readers),
        [("GET", "/fhir/{type}/{id}")] = new(Readers),
        [("GET", "/fhir/{type}/{id}/_history")] = new(Readers),
        [("GET", "/fhir/{type}/{id}/_history/{version}")] = new(Readers),
        [("GET", "/fhir/{type}/{id}/{member}")] = new(Readers),
        [("POST", "/fhir/{type}/{id}/{member}/_search")] = new(Readers),
        [("GET", "/fhir/Composition/{id}/$document")] = new(Readers),
        [("POST", "/fhir/Composition/{id}/$document")] = new(Readers),
        [("GET", "/fhir/Patient/{id}/$everything")] = new(Readers),
        [("POST", "/fhir/Patient/{id}/$everything")] = new(Readers),
        [("GET", "/fhir/Encounter/{id}/$everything")] = new(Readers),
        [("POST", "/fhir/Encounter/{id}/$everything")] = new(Readers),
        [("POST", "/fhir/{type}/$validate")] = new(Readers),
        [("PUT", "/fhir/Task")] = new(Ent),
        [("PUT", "/fhir/Task/{id}")] = new(Ent),
    };

    /// <summary>The rule of an endpoint for a method; null when nobody wrote one.</summary>
    public static RouteRule? Find(Endpoint endpoint, string method)
    {
        if (endpoint.Metadata.GetMetadata<RouteRule>() is { } own)
        {
            return own;
        }

        if (endpoint is not RouteEndpoint route)
        {
            return null;
        }

        var pattern = Pattern(route);
        var asked = HttpMethods.IsHead(method) ? HttpMethods.Get : method;
        return Table.GetValueOrDefault((asked, pattern)) ?? (IsTerminology(pattern) ? new RouteRule(Any) : null);
    }

    /// <summary>Pattern of a route as the table writes it.</summary>
    public static string Pattern(RouteEndpoint route) => "/" + (route.RoutePattern.RawText ?? "").Trim('/');

    /// <summary>Operations on code lists, which are published and speak of no patient.</summary>
    private static bool IsTerminology(string pattern) => Fhir.Terminology.TerminologyEndpoints.Patterns.Contains(pattern);
}
