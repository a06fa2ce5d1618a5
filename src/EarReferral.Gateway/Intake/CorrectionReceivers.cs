using System.ComponentModel;
using System.Text.Json.Serialization;
using EarReferral.Delivery;
using EarReferral.Storage.Encounters;

namespace EarReferral.Gateway.Intake;

/// <summary>Somebody who has, or may have, what a correction replaces.</summary>
internal sealed record ReceivedBefore(
    [property: Description("ent: a referral destination. gpPractice: the patient's practice. reader: a client that the audit names.")] string Kind,
    [property: Description("Its name, or the ODS code of a practice.")] string Receiver,
    [property: Description("confirmed: an answer proves it, or the audit holds the read. possible: an attempt was made and its outcome is not known. notRecorded: it could read the record and no read is recorded, which does not say that none took place.")] ReceiptKnowledge Known,
    [property: Description("When: the confirmed delivery, else the newest attempt or read; absent when not known.")] DateTimeOffset? At,
    [property: Description("Number to phone, where one is configured.")] string? Phone);

[JsonConverter(typeof(JsonStringEnumConverter<ReceiptKnowledge>))]
internal enum ReceiptKnowledge
{
    [JsonStringEnumMemberName("confirmed")]
    Confirmed,

    [JsonStringEnumMemberName("possible")]
    Possible,

    [JsonStringEnumMemberName("notRecorded")]
    NotRecorded,
}

/// <summary>Whom a correction has reached at the moment of its receipt.</summary>
internal sealed record CorrectionReached(
    [property: Description("noneYet: nobody named in receivedBefore has been told. queued: an electronic correction waits to be sent to the receiver, and its timeline says when it was delivered. waiting: nothing of the earlier request was sent; what is sent is the correction. notNeeded: nobody is known to have earlier content.")] string State,
    [property: Description("What that means and what to do.")] string Text);

/// <summary>Puts into words who has earlier content of an encounter and whether a correction reached them.</summary>
internal static class CorrectionReceivers
{
    private const string UntilThen = "Until it is delivered, the receiver works with the earlier content; where that could do harm, phone. A GP system finds the correction when it next reads.";

    /// <summary>Everybody who has or may have it, the ENT system first.</summary>
    public static IReadOnlyList<ReceivedBefore> List(EarlierContent earlier, DeliveryOptions delivery) =>
    [
        .. earlier.Receiver is { } receiver ? [Ent(receiver, delivery)] : Array.Empty<ReceivedBefore>(),
        .. earlier.Practices.Select(practice => new ReceivedBefore("gpPractice", practice, ReceiptKnowledge.NotRecorded, null, null)),
        .. earlier.Reads.Select(read => new ReceivedBefore("reader", read.Actor, ReceiptKnowledge.Confirmed, read.At, null)),
    ];

    /// <summary>What the correction has reached. It is stored and not yet sent at the moment of its receipt, so it is never "sent" here.</summary>
    public static CorrectionReached Reached(EarlierContent earlier) => (earlier.Receiver, earlier.Placement) switch
    {
        ({ }, ReferralPlacement.UpdateQueued) => new("queued", $"The correction waits to be sent as an update of what the receiver has or may have. {UntilThen}"),
        ({ }, ReferralPlacement.ReplacementQueued) => new("queued", $"A request that replaces the earlier one waits to be sent. {UntilThen}"),
        ({ }, ReferralPlacement.WithdrawalQueued) => new("queued", $"That the referral is taken back waits to be sent. Phone the receiver all the same. {UntilThen}"),
        ({ }, _) => new("noneYet", "The correction has reached nobody yet. This receiver is not told of it electronically: phone those named in receivedBefore. A GP system finds the correction when it next reads."),
        (null, ReferralPlacement.Queued or ReferralPlacement.Held or ReferralPlacement.ReplacedBeforeSending) =>
            new("waiting", "No earlier request had been sent. The referral that waits to be sent is the corrected one."),
        (null, _) when earlier.Practices.Count + earlier.Reads.Count > 0 =>
            new("noneYet", "No referral was sent. The GP practice could read the earlier content and is not told: it finds the correction when it next reads."),
        (null, _) => new("notNeeded", "No referral was sent, and no GP practice is recorded that could have read the earlier content."),
    };

    private static ReceivedBefore Ent(EarlierReceiver receiver, DeliveryOptions delivery)
    {
        var destination = delivery.Destinations.GetValueOrDefault(receiver.Destination);
        return new ReceivedBefore(
            "ent",
            destination?.Name ?? receiver.Destination,
            receiver.DeliveredAt is null ? ReceiptKnowledge.Possible : ReceiptKnowledge.Confirmed,
            receiver.DeliveredAt ?? receiver.LastAttemptAt,
            destination?.Phone);
    }
}
