namespace EarReferral.Storage.Search;

/// <summary>FHIR dates as spans of time, by the same reading as the search.</summary>
public static class FhirDates
{
    /// <summary>The half-open span that a date, dateTime or instant covers; without a zone in Europe/London. Null when the text is none.</summary>
    public static (DateTimeOffset From, DateTimeOffset To)? Span(string? text) => DateRange.Parse(text) is { } range
        ? (DateTimeOffset.FromUnixTimeMilliseconds(range.From), DateTimeOffset.FromUnixTimeMilliseconds(range.To))
        : null;
}
