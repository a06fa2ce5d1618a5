using System.ComponentModel;

namespace EarReferral.Gateway.Intake;

/// <summary>What the clinic gets back for a retraction.</summary>
internal sealed record RetractionReceipt
{
    [Description("Address of the retracted encounter.")]
    public required Uri Encounter { get; init; }

    [Description("The clinic's own identifier of the visit.")]
    public required string EncounterId { get; init; }

    [Description("Revision that is the retraction; none follows it.")]
    public required int Revision { get; init; }

    [Description("Always retracted.")]
    public ReceiptState State { get; init; } = ReceiptState.Retracted;

    [Description("The reason code as posted.")]
    public required string Reason { get; init; }

    [Description("Who retracted it.")]
    public required string Person { get; init; }

    [Description("When the gateway took the retraction.")]
    public required DateTimeOffset RetractedAt { get; init; }

    [Description("The receiver has or may have the referral and must be told by phone now; nothing tells it by itself.")]
    public required bool PhoneNow { get; init; }

    [Description("Who received, or may have received, what is retracted.")]
    public required IReadOnlyList<ReceivedBefore> ReceivedBefore { get; init; }

    [Description("Whom the retraction has reached.")]
    public required CorrectionReached CorrectionReached { get; init; }

    [Description("The record stays readable, marked as entered in error.")]
    public string Caution { get; init; } = "Nothing was deleted: every version stays readable, the newest marked as entered in error.";
}
