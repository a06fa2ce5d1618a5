using System.Globalization;
using System.Text.Json.Serialization;

namespace EarReferral.Triage.History;

/// <summary>The value of a derived fact; exactly one member is set.</summary>
public sealed record HistoryValue
{
    /// <summary>Yes or no.</summary>
    public bool? Answer { get; init; }

    /// <summary>A calendar day of the clinic.</summary>
    public DateOnly? Date { get; init; }

    /// <summary>How many times.</summary>
    public int? Count { get; init; }

    /// <summary>A hearing threshold.</summary>
    public HistoryThreshold? Threshold { get; init; }

    /// <summary>The value as people read it.</summary>
    [JsonIgnore]
    public string Text => (Answer, Date, Count, Threshold) switch
    {
        ({ } answer, _, _, _) => answer ? "yes" : "no",
        (_, { } date, _, _) => date.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture),
        (_, _, { } count, _) => count.ToString(CultureInfo.InvariantCulture),
        (_, _, _, { } threshold) => string.Create(CultureInfo.InvariantCulture, $"{threshold.DecibelsHearingLevel} dB HL at {threshold.FrequencyHz} Hz, measured {threshold.MeasuredOn}"),
        _ => throw new InvalidOperationException("A derived fact without a value."),
    };
}

/// <summary>A threshold by air conduction of an earlier audiogram.</summary>
/// <param name="FrequencyHz">Frequency in hertz.</param>
/// <param name="DecibelsHearingLevel">Threshold in dB HL.</param>
/// <param name="MeasuredOn">When it was measured, as exactly as known.</param>
public sealed record HistoryThreshold(int FrequencyHz, decimal DecibelsHearingLevel, string MeasuredOn);
