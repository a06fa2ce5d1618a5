namespace EarReferral.Triage.LocalPolicies;

/// <summary>Ways in which a local policy can make a rule protect less; each needs somebody accountable, for exactly that rule.</summary>
internal enum Weakening
{
    /// <summary>A deadline that may end later than the published one; free for T3, which is local anyway.</summary>
    Deadline,

    /// <summary>A lower tier, or another tier of the same time for suspected cancer.</summary>
    Tier,

    /// <summary>Any other condition: whether it catches less cannot be seen from the text.</summary>
    Condition,

    /// <summary>The rule no longer decides anything.</summary>
    Removal,
}
