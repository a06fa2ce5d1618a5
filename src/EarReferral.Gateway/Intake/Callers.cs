using EarReferral.Gateway.Security;
using EarReferral.Storage;

namespace EarReferral.Gateway.Intake;

/// <summary>Who the caller of a request is and therefore what it may reach, as the access gate found it.</summary>
internal static class Callers
{
    private static readonly AsyncLocal<Caller?> Present = new();

    /// <summary>Name of the caller in audit rows and timelines.</summary>
    public static string Actor => Present.Value?.Name ?? Caller.Local.Name;

    /// <summary>The access token of the caller, for audit rows.</summary>
    public static string? TokenId => Present.Value?.TokenId;

    /// <summary>Says who makes this request; for the access gate alone.</summary>
    public static void Set(HttpContext context, Caller caller)
    {
        context.Features.Set(caller);
        Present.Value = caller;
    }

    /// <summary>The caller.</summary>
    /// <exception cref="InvalidOperationException">The request came past the access gate.</exception>
    public static Caller Of(HttpContext context) =>
        context.Features.Get<Caller>() ?? throw new InvalidOperationException("The access gate did not see this request.");

    /// <summary>Whether the caller may post for a clinic.</summary>
    public static bool MayPostFor(string clinicId) => Present.Value?.Clinic is not { } own || own == clinicId;

    /// <summary>Reach of a caller of the clinic API.</summary>
    public static Reach Clinic(HttpContext context) => Of(context).Reach;

    /// <summary>Reach of a caller of the FHIR API.</summary>
    public static Reach FhirClient(HttpContext context) => Of(context).Reach;

    /// <summary>Reach of an ENT system that reports back.</summary>
    public static Reach EntSystem(HttpContext context) => Of(context).Reach;
}
