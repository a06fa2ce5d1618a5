using EarReferral.Encounters.Reading;

namespace EarReferral.Gateway.Intake;

/// <summary>What became of a document that was only tried.</summary>
/// <param name="Problems">Everything that is wrong with it.</param>
/// <param name="Decision">The decision, of the readable part where it has problems; null where nothing could be read.</param>
/// <param name="Judgement">What the stages say; null where it has problems.</param>
/// <param name="Receipt">The receipt of a preview.</param>
/// <param name="Refused">Why nothing could be tried now; null when it was.</param>
internal sealed record IntakeTrial(IReadOnlyList<EncounterProblem> Problems, ReceiptDecision? Decision, Judgement? Judgement, Receipt? Receipt, string? Refused);
