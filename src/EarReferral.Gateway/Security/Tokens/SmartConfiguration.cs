namespace EarReferral.Gateway.Security.Tokens;

/// <summary>What a client needs to know to get a token, at the address that SMART App Launch 2 names.</summary>
internal static class SmartConfiguration
{
    private static readonly string[] Methods = ["private_key_jwt"];
    private static readonly string[] Grants = ["client_credentials"];
    private static readonly string[] Challenges = ["S256"];
    private static readonly string[] Capabilities = ["client-confidential-asymmetric", "permission-v2", "permission-v1"];
    private static readonly string[] Scopes = ["system/*.rs", "system/Task.u", ScopeSet.Intake, ScopeSet.ClinicRead, ScopeSet.ClinicWrite, ScopeSet.Operations];

    /// <summary>Maps the address.</summary>
    public static void MapSmartConfiguration(this IEndpointRouteBuilder routes) =>
        routes.MapGet("/fhir/.well-known/smart-configuration", (TokenAddress address) => Results.Json(new Dictionary<string, object>
        {
            ["issuer"] = address.Issuer.AbsoluteUri,
            ["jwks_uri"] = new Uri(address.Issuer, TokenAddress.KeysPath).AbsoluteUri,
            ["token_endpoint"] = address.Value.AbsoluteUri,
            ["token_endpoint_auth_methods_supported"] = Methods,
            ["token_endpoint_auth_signing_alg_values_supported"] = AssertionKeys.Algorithms,
            ["grant_types_supported"] = Grants,
            ["scopes_supported"] = Scopes,
            // Required by SMART although no code flow is offered to backend services.
            ["code_challenge_methods_supported"] = Challenges,
            ["capabilities"] = Capabilities,
        }, contentType: "application/json"))
            .WithTags("FHIR R4")
            .WithSummary("How a backend client gets an access token (SMART App Launch 2).");
}
