namespace EarReferral.Summary.Findings;

/// <summary>The patient's own side, never the side of a picture.</summary>
public enum EarSide
{
    Right,
    Left,
}
