using System.ComponentModel;
using EarReferral.Delivery;
using EarReferral.Gateway.Configuration;
using EarReferral.Gateway.Intake;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Sending;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Referrals;

/// <summary>What a person decides about the sending: send again what had stopped, resume a destination.</summary>
internal static class SendingEndpoints
{
    /// <summary>Maps the addresses.</summary>
    public static void MapSending(this IEndpointRouteBuilder routes)
    {
        var referrals = routes.MapGroup("/referrals").WithTags("Referrals");
        referrals.MapPost("/{id}/replay", ReplayAsync)
            .WithSummary("Send again what had stopped for a person: the same bytes under the same keys.")
            .Produces<ReferralView>()
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status409Conflict);
        routes.MapPost("/destinations/{name}/resume", ResumeAsync)
            .WithTags("Destinations")
            .WithSummary("Send to a parked destination again, once what stopped it has been put right.")
            .Produces<DestinationView>()
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status409Conflict);
    }

    private static async Task<IResult> ReplayAsync(
        string id, HttpContext context, ReferralStore store, Outbox outbox, DeliverySignal signal, TimeProvider clock, IOptions<GatewayOptions> gateway, IOptions<DeliveryOptions> delivery)
    {
        var reach = Callers.Clinic(context);
        if (!await store.ReplayAsync(reach, id, Callers.Actor, clock.GetUtcNow(), context.RequestAborted))
        {
            return await store.FindAsync(reach, id, context.RequestAborted) is null
                ? IntakeProblem.NotFound()
                : IntakeProblem.Problem(
                    StatusCodes.Status409Conflict,
                    "not-replayable",
                    "This referral cannot be sent again",
                    "Only a referral that stopped for a person can. One that a correction has overtaken is never sent again: tell the receiver by phone.");
        }

        signal.Ring();
        return await ReferralEndpoints.GetAsync(id, context, store, outbox, gateway, delivery);
    }

    private static async Task<IResult> ResumeAsync(
        string name, HttpContext context, DestinationStore destinations, DeliverySignal signal, TimeProvider clock, IOptions<DeliveryOptions> delivery)
    {
        if (!delivery.Value.Destinations.ContainsKey(name))
        {
            return IntakeProblem.Problem(StatusCodes.Status404NotFound, "unknown-destination", "No such destination", "No destination of this name is configured.");
        }

        if (await destinations.FindAsync(name, context.RequestAborted) is { Paused: false })
        {
            return IntakeProblem.Problem(StatusCodes.Status409Conflict, "not-parked", "This destination is not parked", "Nothing was changed; referrals to it are sent.");
        }

        var state = await destinations.PauseAsync(name, paused: false, Callers.Actor, clock.GetUtcNow(), context.RequestAborted);
        signal.Ring();
        return Results.Ok(new DestinationView(state.Name, state.Paused, state.Breaker.Position == BreakerPosition.Closed ? null : state.Breaker.Until));
    }
}

/// <summary>A destination after a change to it.</summary>
internal sealed record DestinationView(
    string Name,
    [property: Description("True while nothing is sent there until somebody resumes it.")] bool Parked,
    [property: Description("Until when it rests after failures, where it does.")] DateTimeOffset? RestsUntil);
