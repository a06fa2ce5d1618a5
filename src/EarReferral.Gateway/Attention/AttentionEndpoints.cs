using EarReferral.Gateway.Intake;
using EarReferral.Gateway.Security;

namespace EarReferral.Gateway.Attention;

/// <summary>The address under which a clinic or operator sees what waits for a person.</summary>
internal static class AttentionEndpoints
{
    /// <summary>Maps the address.</summary>
    public static void MapAttention(this IEndpointRouteBuilder routes) =>
        routes.MapGet("/attention", async (HttpContext context, OpenMatters matters, TimeProvider clock, CancellationToken stop) => Results.Ok(new AttentionList(Within(Callers.Of(context), await matters.ReadAsync(clock.GetUtcNow(), stop)))))
            .WithTags("Attention")
            .WithSummary("Visits not yet triaged, quarantined records, refused red flags and patients whose identity is not settled, each with its own clock, the earliest due first.")
            .Produces<AttentionList>();

    private static IReadOnlyList<OpenMatter> Within(Caller caller, IReadOnlyList<OpenMatter> matters) =>
        caller.Clinic is { } own ? [.. matters.Where(matter => matter.ClinicId == own)] : matters;
}
