using EarReferral.Encounters.Reading;

namespace EarReferral.Gateway.Intake;

/// <summary>What became of a posted encounter.</summary>
internal abstract record IntakeOutcome
{
    private IntakeOutcome()
    {
    }

    /// <summary>Stored now.</summary>
    public sealed record Stored(Guid Key, int Revision, byte[] Receipt) : IntakeOutcome;

    /// <summary>The same content was stored before; this is the receipt of then.</summary>
    public sealed record StoredBefore(Guid Key, int Revision, byte[] Receipt) : IntakeOutcome;

    /// <summary>The document has problems.</summary>
    public sealed record Refused(IReadOnlyList<EncounterProblem> Problems, ReceiptDecision? Provisional) : IntakeOutcome;

    /// <summary>The clinic is not configured.</summary>
    public sealed record UnknownClinic(ReceiptDecision Provisional) : IntakeOutcome;

    /// <summary>This revision is stored with other content.</summary>
    public sealed record ContentDiffers(ReceiptDecision Provisional) : IntakeOutcome;

    /// <summary>A revision is missing in between.</summary>
    public sealed record RevisionGap(int Expected, ReceiptDecision Provisional) : IntakeOutcome;

    /// <summary>A later revision is stored.</summary>
    public sealed record RevisionBehind(int Newest, ReceiptDecision Provisional) : IntakeOutcome;

    /// <summary>The clinic retracted the encounter; nothing follows a retraction.</summary>
    public sealed record Retracted(ReceiptDecision? Provisional) : IntakeOutcome;

    /// <summary>A correction was stored between the read and the write of a retraction.</summary>
    public sealed record ChangedMeanwhile : IntakeOutcome;

    /// <summary>The validator is not warm or the store cannot be written.</summary>
    public sealed record NotReady(string Why) : IntakeOutcome;
}
