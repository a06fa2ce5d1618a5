namespace EarReferral.Summary.Findings;

/// <summary>What a mark in a drawing stands for; each kind has a shape of its own, so that colour is never the only cue.</summary>
public enum FindingKind
{
    /// <summary>Wax, keratin, debris or an object in the canal.</summary>
    Deposit,

    /// <summary>What was left in the ear at the end.</summary>
    Residual,

    /// <summary>A hole in the drum.</summary>
    Perforation,

    /// <summary>Anything else that was seen in the canal.</summary>
    CanalFinding,

    /// <summary>Anything else that was seen on the drum.</summary>
    DrumFinding,
}
