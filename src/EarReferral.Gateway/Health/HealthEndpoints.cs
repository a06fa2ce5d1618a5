namespace EarReferral.Gateway.Health;

/// <summary>Says whether the process lives and whether it can take an encounter now.</summary>
internal static class HealthEndpoints
{
    /// <summary>Maps the addresses.</summary>
    public static void MapHealth(this IEndpointRouteBuilder routes)
    {
        var health = routes.MapGroup("/health").WithTags("Health");
        health.MapGet("/live", () => Results.Ok(new { status = "live" }))
            .WithSummary("The process runs.");
        health.MapGet("/ready", async (Readiness readiness, CancellationToken stop) =>
            {
                var missing = await readiness.MissingAsync(stop);
                return missing.Count == 0
                    ? Results.Ok(new { status = "ready" })
                    : Results.Json(new { status = "not ready", missing }, statusCode: StatusCodes.Status503ServiceUnavailable);
            })
            .WithSummary("The validator is warm, the rules are loaded and the store can be written.")
            .Produces(StatusCodes.Status200OK)
            .Produces(StatusCodes.Status503ServiceUnavailable);
    }
}
