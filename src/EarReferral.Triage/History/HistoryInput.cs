using Hl7.Fhir.Model;

namespace EarReferral.Triage.History;

/// <summary>What a decision is told of earlier visits: handed in, never looked up, so that it can be decided again from what is kept.</summary>
/// <param name="Facts">The derived facts, kept with the decision.</param>
/// <param name="Observations">The same as Observations of this visit, which the rules read.</param>
public sealed record HistoryInput(IReadOnlyList<HistoryFact> Facts, IReadOnlyList<Observation> Observations)
{
    /// <summary>Nothing is known of earlier visits.</summary>
    public static HistoryInput None { get; } = new([], []);
}
