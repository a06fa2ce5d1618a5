using EarReferral.Mapping.History;
using EarReferral.Storage.Encounters;

namespace EarReferral.Gateway.Intake;

/// <summary>What the store knows of earlier visits of the patient of a visit.</summary>
/// <param name="Visits">The visits, as far as this program reads them.</param>
/// <param name="Basis">The revisions that were looked at.</param>
/// <param name="NotRead">Numbers of visits whose document this program does not read.</param>
/// <param name="IsWithheld">It is not settled who the patient is, so no visit is used.</param>
internal sealed record KnownHistory(IReadOnlyList<EarlierVisit> Visits, IReadOnlyCollection<HistoryBasis> Basis, IReadOnlyList<string> NotRead, bool IsWithheld)
{
    /// <summary>Nothing was asked for.</summary>
    public static KnownHistory None { get; } = new([], [], [], false);
}
