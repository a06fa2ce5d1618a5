namespace EarReferral.Storage.Refusals;

/// <summary>A refused post, so that a clinic's missing referral can be found. Carries no clinical content.</summary>
/// <param name="ClinicId">Clinic of the client.</param>
/// <param name="ClientId">Client that posted.</param>
/// <param name="ClinicEncounterId">The clinic's number of the encounter, where it could be read.</param>
/// <param name="At">When.</param>
/// <param name="ProblemIds">Stable ids of the problems.</param>
/// <param name="ProvisionalTier">Tier that the readable part would have had; a refused emergency must be seen.</param>
public sealed record Refusal(
    string ClinicId,
    string ClientId,
    string? ClinicEncounterId,
    DateTimeOffset At,
    IReadOnlyList<string> ProblemIds,
    string? ProvisionalTier);
