namespace EarReferral.Summary.Findings;

/// <summary>Pure-tone thresholds of one ear.</summary>
/// <param name="Side">The patient's side.</param>
/// <param name="MeasuredOn">Date as recorded; null when not recorded.</param>
/// <param name="Thresholds">In the order of conduction and frequency.</param>
/// <param name="EarlierWords">Thresholds of an earlier audiogram in words; they are not plotted, so that two dates never share one line.</param>
public sealed record Audiogram(EarSide Side, string? MeasuredOn, IReadOnlyList<PlottedThreshold> Thresholds, IReadOnlyList<string> EarlierWords);

/// <summary>One threshold.</summary>
/// <param name="FrequencyHz">Frequency in Hz.</param>
/// <param name="Level">dB HL; null when there was no response or none was measured.</param>
/// <param name="IsBone">Bone conduction instead of air conduction.</param>
/// <param name="IsMasked">The other ear was masked.</param>
/// <param name="HasNoResponse">No response at the limit of the audiometer.</param>
public sealed record PlottedThreshold(int FrequencyHz, decimal? Level, bool IsBone, bool IsMasked, bool HasNoResponse);
