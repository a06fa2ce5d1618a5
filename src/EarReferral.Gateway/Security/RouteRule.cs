namespace EarReferral.Gateway.Security;

/// <summary>Who may use a route.</summary>
/// <param name="Kinds">Kinds of caller; none for a route that anybody may use.</param>
/// <param name="Scope">A scope of the gateway's own that the token must have; null where FHIR's scopes decide.</param>
/// <param name="Discloses">FHIR type that the <c>id</c> of the route names, where the route shows something of a patient outside FHIR; for audit.</param>
internal sealed record RouteRule(CallerKinds Kinds, string? Scope = null, string? Discloses = null)
{
    /// <summary>A route that shows nothing of any patient and that nobody must be known for.</summary>
    public static RouteRule Open { get; } = new(CallerKinds.None);

    /// <summary>A page that people work in; never for a program with a token.</summary>
    public static RouteRule People { get; } = new(CallerKinds.Person);

    /// <summary>True when nobody must be known.</summary>
    public bool IsOpen => Kinds == CallerKinds.None;
}
