namespace EarReferral.Summary.Findings;

/// <summary>How much of the drum was seen.</summary>
public enum DrumView
{
    /// <summary>Nobody recorded it; to be shown as not seen, never as normal.</summary>
    NotRecorded,
    NotSeen,
    Partly,
    Fully,
}
