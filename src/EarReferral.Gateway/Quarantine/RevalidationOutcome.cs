using EarReferral.Encounters.Reading;

namespace EarReferral.Gateway.Quarantine;

/// <summary>What became of another look at a quarantined record.</summary>
internal abstract record RevalidationOutcome
{
    private RevalidationOutcome()
    {
    }

    /// <summary>It was looked at; whether it was released stands in the record itself. Also when it had been released before.</summary>
    public sealed record Looked : RevalidationOutcome;

    /// <summary>No such encounter, or it was never in quarantine.</summary>
    public sealed record NotFound : RevalidationOutcome;

    /// <summary>A correction or a retraction has taken its place.</summary>
    public sealed record Overtaken : RevalidationOutcome;

    /// <summary>The rules of today make it less urgent than the clinic was told, and nobody has said that this is right.</summary>
    public sealed record LessUrgentNow(string Then, string Now) : RevalidationOutcome;

    /// <summary>The intake of today would not take the document.</summary>
    public sealed record NoLongerTaken(IReadOnlyList<EncounterProblem> Problems) : RevalidationOutcome;

    /// <summary>Its clinic is not configured any more.</summary>
    public sealed record UnknownClinic : RevalidationOutcome;

    /// <summary>The validator is not warm or the store cannot be written.</summary>
    public sealed record NotReady(string Why) : RevalidationOutcome;
}
