using EarReferral.Triage.Decisions;

namespace EarReferral.Triage.History;

/// <summary>Something about one ear that earlier visits say and this one leaves open, or contradicts.</summary>
/// <param name="Code">Finding code; one of those that begin with <see cref="CodePrefix"/>.</param>
/// <param name="Side">The patient's own side.</param>
/// <param name="Value">What it says.</param>
/// <param name="ObservationId">Id of the Observation of this visit that carries it.</param>
/// <param name="Sources">The visits that it was taken from, oldest first; never empty.</param>
public sealed record HistoryFact(string Code, DecisionSide Side, HistoryValue Value, string ObservationId, IReadOnlyList<HistorySource> Sources)
{
    /// <summary>How the finding codes of derived facts begin; no clinic can record one.</summary>
    public const string CodePrefix = "derived-";

    /// <summary>What the clinic recorded at this visit that does not agree; its word stands. Null where nothing disagrees.</summary>
    public HistoryContradiction? Contradiction { get; init; }

    /// <summary>Whether a finding code is that of a derived fact.</summary>
    public static bool IsDerived(string code) => code.StartsWith(CodePrefix, StringComparison.Ordinal);
}

/// <summary>A finding of this visit that an earlier visit contradicts.</summary>
/// <param name="Finding">Finding code.</param>
/// <param name="Said">What was recorded, as the contract writes it.</param>
public sealed record HistoryContradiction(string Finding, string Said);

/// <summary>An earlier visit of the same patient at the same clinic.</summary>
/// <param name="EncounterId">The clinic's own number of the visit.</param>
/// <param name="Revision">The revision that was read.</param>
/// <param name="At">Its decision instant.</param>
/// <param name="ObservationId">Id of the Observation of that visit that says so.</param>
public sealed record HistorySource(string EncounterId, int Revision, DateTimeOffset At, string ObservationId);
