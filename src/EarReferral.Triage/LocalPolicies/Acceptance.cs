namespace EarReferral.Triage.LocalPolicies;

/// <summary>Who answers for the weakening of one rule.</summary>
/// <param name="Name">The accountable clinician.</param>
/// <param name="Role">That person's role at the site.</param>
/// <param name="Date">Day of the signature; not after the date of the policy.</param>
/// <param name="Reason">Why it is accepted.</param>
/// <param name="Weakens">What exactly was accepted; a later change of anything else is not covered.</param>
internal sealed record Acceptance(string Name, string Role, DateOnly Date, string Reason, IReadOnlyList<Weakening> Weakens);
