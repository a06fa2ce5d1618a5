using EarReferral.Storage;

namespace EarReferral.Gateway.Security;

/// <summary>Who makes a request.</summary>
/// <param name="Name">Client id, written into audit rows and timelines.</param>
/// <param name="Kind">Kind of caller.</param>
/// <param name="Reach">Whose data it may see.</param>
/// <param name="Scopes">What its token grants; null for the local operator of a development machine, who has no token.</param>
/// <param name="TokenId">Id of its access token.</param>
internal sealed record Caller(string Name, CallerKinds Kind, Reach Reach, ScopeSet? Scopes, string? TokenId)
{
    /// <summary>Whoever can reach a gateway that listens on loopback only, in Development, and asks nobody who they are.</summary>
    public static Caller Local { get; } = new("local operator", CallerKinds.Any | CallerKinds.Person, new Reach.Everything("local operator"), null, null);

    /// <summary>Somebody who is not known, on a route that is open; reaches no data.</summary>
    public static Caller Nobody { get; } = new("nobody", CallerKinds.None, new Reach.Destination(string.Empty), ScopeSet.Of(null), null);

    /// <summary>The clinic that it may post for; null where no clinic limits it.</summary>
    public string? Clinic => (Reach as Reach.Clinic)?.ClinicId;
}
