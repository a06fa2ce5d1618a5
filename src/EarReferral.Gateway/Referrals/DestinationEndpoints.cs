using System.ComponentModel;
using EarReferral.Delivery;
using EarReferral.Delivery.Destinations;
using EarReferral.Gateway.Intake;
using EarReferral.Storage;
using EarReferral.Storage.Sending;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Referrals;

/// <summary>The addresses under which destinations are seen and verified.</summary>
internal static class DestinationEndpoints
{
    /// <summary>Maps the addresses.</summary>
    public static void MapDestinations(this IEndpointRouteBuilder routes)
    {
        var destinations = routes.MapGroup("/destinations").WithTags("Destinations");
        destinations.MapGet("", ListAsync)
            .WithSummary("The configured destinations and what is known of each.")
            .Produces<DestinationList>();
        destinations.MapPost("/{name}/verification", VerifyAsync)
            .WithSummary("Read the capability statement of a destination and keep how referrals are sent there. What stands against it parks the destination; ?accept=true accepts another way of sending than before.")
            .Produces<DestinationDetail>()
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status409Conflict);
    }

    private static async Task<IResult> ListAsync(DestinationStore store, IOptions<DeliveryOptions> options, CancellationToken stop)
    {
        var known = (await store.ListAsync(new Reach.Everything("destinations"), stop)).ToDictionary(state => state.Name, StringComparer.Ordinal);
        return Results.Ok(new DestinationList(
            [.. options.Value.Destinations.OrderBy(each => each.Key, StringComparer.Ordinal)
                .Select(each => DestinationDetail.Of(each.Value, known.GetValueOrDefault(each.Key) ?? new DestinationState(each.Key, false, null, new BreakerState(BreakerPosition.Closed, null, 0))))]));
    }

    private static async Task<IResult> VerifyAsync(string name, DestinationVerifier verifier, IOptions<DeliveryOptions> options, bool? accept, CancellationToken stop) =>
        await verifier.VerifyAsync(name, accept is true, Callers.Actor, stop) switch
        {
            null => IntakeProblem.Problem(StatusCodes.Status404NotFound, "unknown-destination", "No such destination", "No destination of this name is configured."),
            { Problem: { } problem } => IntakeProblem.Problem(StatusCodes.Status409Conflict, "not-verified", "The destination is parked", $"{problem} Nothing is sent there until this is put right and somebody resumes it."),
            { } state => Results.Ok(DestinationDetail.Of(options.Value.Destinations[name], state)),
        };
}

internal sealed record DestinationList(IReadOnlyList<DestinationDetail> Items);

/// <summary>A destination as an operator sees it.</summary>
internal sealed record DestinationDetail(
    string Name,
    string Organization,
    [property: Description("transaction or message; missing until somebody has verified it, when a transaction is sent.")] string? Mode,
    [property: Description("True when it promises conditional update.")] bool Updates,
    DateTimeOffset? VerifiedAt,
    [property: Description("Day on which numbers and address were last tried, from the configuration.")] DateOnly? LastTested,
    [property: Description("True while nothing is sent there until somebody resumes it.")] bool Parked,
    DateTimeOffset? ParkedAt,
    string? Problem)
{
    /// <summary>The view of a destination.</summary>
    public static DestinationDetail Of(DestinationOptions options, DestinationState state) =>
        new(state.Name, options.Name!, state.Mode is { } mode ? System.Text.Json.JsonNamingPolicy.CamelCase.ConvertName(mode.ToString()) : null, state.Updates, state.VerifiedAt, options.LastTested, state.Paused, state.PausedAt, state.Problem);
}
