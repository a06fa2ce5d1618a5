namespace EarReferral.Gateway.Rules;

/// <summary>What a candidate rule set would have decided otherwise about the stored encounters.</summary>
/// <param name="Candidate">Version and hash of the candidate set.</param>
/// <param name="Since">Only encounters decided at or after this instant, or null for all.</param>
/// <param name="Compared">How many encounters were decided again.</param>
/// <param name="NewlyFlagged">Of these, how many were T4 and would be T0 to T3.</param>
/// <param name="NoLongerFlagged">How many were T0 to T3 and would be T4.</param>
/// <param name="TierChanged">How many would have another tier, both of the above among them.</param>
/// <param name="Changed">Each encounter with any difference, in the order they were stored.</param>
/// <param name="NotCompared">Encounters that could not be decided again, with the reason; never counted as unchanged.</param>
internal sealed record ComparisonReport(
    string Candidate,
    DateTimeOffset? Since,
    int Compared,
    int NewlyFlagged,
    int NoLongerFlagged,
    int TierChanged,
    IReadOnlyList<ComparedEncounter> Changed,
    IReadOnlyList<EncounterNotCompared> NotCompared);

/// <summary>A stored encounter about which the candidate set decides otherwise. Holds no patient data.</summary>
/// <param name="Clinic">Id of the clinic.</param>
/// <param name="EncounterId">The clinic's own identifier of the visit.</param>
/// <param name="Revision">Revision that was decided.</param>
/// <param name="DecidedAt">The decision instant, the same for both decisions.</param>
/// <param name="DecidedBy">Version of the set that decided then.</param>
/// <param name="Difference">What differs.</param>
internal sealed record ComparedEncounter(string Clinic, string EncounterId, int Revision, DateTimeOffset DecidedAt, string DecidedBy, DecisionDifference Difference);

/// <summary>A stored encounter that could not be decided again.</summary>
internal sealed record EncounterNotCompared(string Clinic, string EncounterId, int Revision, string Why);
