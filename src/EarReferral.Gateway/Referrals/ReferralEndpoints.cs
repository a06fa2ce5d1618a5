using System.ComponentModel;
using System.Globalization;
using System.Text.Json;
using EarReferral.Delivery;
using EarReferral.Delivery.Destinations;
using EarReferral.Gateway.Configuration;
using EarReferral.Gateway.Intake;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Sending;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Referrals;

/// <summary>The addresses under which a clinic follows its referrals.</summary>
internal static class ReferralEndpoints
{
    /// <summary>Maps the addresses.</summary>
    public static void MapReferrals(this IEndpointRouteBuilder routes)
    {
        var referrals = routes.MapGroup("/referrals").WithTags("Referrals");
        referrals.MapGet("", ListAsync)
            .WithSummary("The caller's own referrals by time of change, for reconciling.")
            .Produces<ReferralList>();
        referrals.MapGet("/{id}", GetAsync)
            .WithSummary("One referral: how far it has come, every attempt, what happened when. Its ETag is what a closure names in If-Match.")
            .Produces<ReferralView>()
            .ProducesProblem(StatusCodes.Status404NotFound);
        routes.MapLetter();
        routes.MapSending();
        routes.MapDestinations();
        routes.MapOperator();
        routes.MapCancellation();
        routes.MapReplies();
        routes.MapHand();
        routes.MapClosure();
    }

    private static async Task<IResult> ListAsync(HttpContext context, ReferralStore store, IOptions<GatewayOptions> gateway, string? cursor, int? count)
    {
        var page = await store.ListAsync(Callers.Clinic(context), cursor, Math.Clamp(count ?? 50, 1, 200), context.RequestAborted);
        return Results.Ok(new ReferralList(
            [.. page.Items.Select(item => new ReferralListItem(
                new Uri(gateway.Value.PublicBaseUrl, $"referrals/{item.ReferralId}"),
                item.ReferralId,
                item.Tier,
                item.Due,
                item.Destination,
                DeliveryWord(item.State),
                item.TaskStatus,
                item.BusinessStatus,
                item.ChangedAt))],
            page.Next));
    }

    /// <summary>True while nobody at the receiver has taken an urgent referral, whatever the electronic delivery does.</summary>
    internal static bool PhoneNow(StoredReferral referral) => referral.Tier is "T0" or "T1" && referral.State switch
    {
        // Nobody outside has it and nobody needs it any more, or a clinician has closed it.
        ReferralState.Withdrawn or ReferralState.Closed => false,
        ReferralState.WithdrawnAfterSending => true,
        ReferralState.Held or ReferralState.Queued or ReferralState.Delivered or ReferralState.NeedsHuman =>
            referral.TaskStatus is not ("accepted" or "in-progress" or "on-hold" or "completed") && referral.BusinessStatus != "cancelled-by-referrer",
    };

    /// <summary>Answers with one referral.</summary>
    internal static async Task<IResult> GetAsync(string id, HttpContext context, ReferralStore store, Outbox outbox, IOptions<GatewayOptions> gateway, IOptions<DeliveryOptions> delivery)
    {
        var reach = Callers.Clinic(context);
        if (await store.FindAsync(reach, id, context.RequestAborted) is not { } referral)
        {
            return IntakeProblem.NotFound();
        }

        context.Response.Headers.ETag = Tag(referral);
        var attempts = await outbox.AttemptsAsync(reach, id, context.RequestAborted);
        var timeline = await store.TimelineAsync(reach, id, context.RequestAborted);
        var services = context.RequestServices;
        var contact = services.GetRequiredService<DestinationDirectory>().ContactAt(referral.Destination, services.GetRequiredService<TimeProvider>().GetUtcNow());
        var destination = delivery.Value.Destinations.GetValueOrDefault(referral.Destination);
        return Results.Ok(new ReferralView
        {
            Id = referral.ReferralId,
            Encounter = new Uri(gateway.Value.PublicBaseUrl, $"encounters/{referral.EncounterKey}"),
            Tier = referral.Tier,
            Due = referral.Due,
            ReplacedBy = referral.ReplacedBy is { } newer ? new Uri(gateway.Value.PublicBaseUrl, $"referrals/{newer}") : null,
            Destination = destination?.Name ?? referral.Destination,
            PhoneWho = contact?.Name,
            Phone = contact?.Phone,
            // A correction after the call says something that nobody there has heard yet.
            PhoneNow = PhoneNow(referral) && ClockReader.TakenByPhone(timeline) is null,
            Delivery = DeliveryWord(referral.State),
            Objection = referral.Objection switch
            {
                ReferralObjection.None => null,
                ReferralObjection.Stands => "stands",
                ReferralObjection.Overridden => "overridden",
            },
            Execution = referral.TaskStatus,
            BusinessStatus = referral.BusinessStatus,
            RequestSha256 = referral.RequestSha256,
            Attempts = [.. attempts.Select(attempt => new ReferralAttempt(attempt.Attempt.At, attempt.Attempt.StatusCode, attempt.Attempt.Outcome, attempt.Attempt.DurationMilliseconds, Issues(attempt.Attempt.Issues)))],
            Timeline = [.. timeline.Select(entry => new ReferralStep(entry.At, entry.Kind, entry.Actor, entry.TaskStatus, entry.BusinessStatus, entry.Detail))],
        });
    }

    /// <summary>Moves on with every change that the referral's timeline tells of.</summary>
    internal static string Tag(StoredReferral referral) => string.Create(CultureInfo.InvariantCulture, $"\"{referral.ChangedAt.ToUnixTimeMilliseconds()}\"");

    private static JsonElement? Issues(string? json) => json is null ? null : JsonElement.Parse(json);

    private static string DeliveryWord(ReferralState state) => state switch
    {
        ReferralState.Held => "held",
        ReferralState.Queued => "waiting",
        ReferralState.Delivered => "delivered",
        ReferralState.NeedsHuman => "needsHuman",
        ReferralState.Withdrawn => "withdrawn",
        ReferralState.WithdrawnAfterSending => "withdrawnAfterSending",
        ReferralState.Closed => "closed",
    };
}

internal sealed record ReferralList(IReadOnlyList<ReferralListItem> Items, string? Next);

internal sealed record ReferralListItem(Uri Referral, string Id, string Tier, DateTimeOffset? Due, string Destination, string Delivery, string Execution, string? BusinessStatus, DateTimeOffset ChangedAt);

/// <summary>One referral as a clinic follows it.</summary>
internal sealed record ReferralView
{
    public required string Id { get; init; }

    public required Uri Encounter { get; init; }

    [Description("Urgency tier of the decision.")]
    public required string Tier { get; init; }

    [Description("The instant by which the patient must be seen.")]
    public DateTimeOffset? Due { get; init; }

    [Description("Referral of a later visit that takes its place; this one stays open until a clinician closes it. Absent while it stands alone.")]
    public Uri? ReplacedBy { get; init; }

    public required string Destination { get; init; }

    [Description("Who answers the number now: the destination, or its alternative outside its hours.")]
    public string? PhoneWho { get; init; }

    [Description("Number to phone; a T0 or T1 referral is phoned, whatever the electronic delivery does.")]
    public string? Phone { get; init; }

    [Description("Urgent, and nobody at the receiver has taken it (accepted, in-progress, on-hold or completed); or it was taken back after it may have been sent.")]
    public required bool PhoneNow { get; init; }

    [Description("held, waiting, delivered (an answer proves that the receiver stored it; nobody may have read it), needsHuman, withdrawn (a correction took it back before anything was sent), withdrawnAfterSending (the receiver has or may have it and must be told by phone), closed (a named clinician closed it with a reason, as the timeline says).")]
    public required string Delivery { get; init; }

    [Description("stands: the patient objects to sharing with this receiver and nothing is sent. overridden: the patient objects and a named clinician decided to send it all the same. Absent where the patient does not object.")]
    public string? Objection { get; init; }

    [Description("Status of the Task as the receiver last reported it; requested until it says anything.")]
    public required string Execution { get; init; }

    [Description("The receiver's finer state.")]
    public string? BusinessStatus { get; init; }

    [Description("SHA-256 of the bytes that are sent; every attempt repeats them.")]
    public required string RequestSha256 { get; init; }

    public required IReadOnlyList<ReferralAttempt> Attempts { get; init; }

    public required IReadOnlyList<ReferralStep> Timeline { get; init; }
}

internal sealed record ReferralAttempt(DateTimeOffset At, int? Status, string Outcome, long Milliseconds, JsonElement? Issues);

internal sealed record ReferralStep(DateTimeOffset At, string Event, string By, string? Execution, string? BusinessStatus, string? Detail);
