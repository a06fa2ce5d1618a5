using EarReferral.Storage;

namespace EarReferral.Gateway.Intake;

/// <summary>Who a caller is and therefore what it may reach; the one place that later reads access tokens.</summary>
/// <remarks>
/// Until callers are authenticated the gateway listens on loopback only, and whoever can reach it is treated as the operator
/// of the machine, named as such in audit rows.
/// </remarks>
internal static class Callers
{
    public const string LocalOperator = "local operator";

    /// <summary>Reach of a caller of the clinic API.</summary>
    public static Reach Clinic(HttpContext context) => Local(context);

    /// <summary>Reach of a caller of the FHIR API.</summary>
    public static Reach FhirClient(HttpContext context) => Local(context);

    /// <summary>Reach of an ENT system that reports back.</summary>
    public static Reach EntSystem(HttpContext context) => Local(context);

    private static Reach.Everything Local(HttpContext context)
    {
        ArgumentNullException.ThrowIfNull(context);
        return new Reach.Everything(LocalOperator);
    }
}
