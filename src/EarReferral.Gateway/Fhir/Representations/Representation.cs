using Microsoft.Net.Http.Headers;

namespace EarReferral.Gateway.Fhir.Representations;

/// <summary>How an answer is written.</summary>
/// <param name="Format">JSON or XML.</param>
/// <param name="MediaType">What the answer calls itself: the generic type where the caller asked for that.</param>
/// <param name="IsPretty">Indented for people.</param>
internal sealed record Representation(FhirFormat Format, string MediaType, bool IsPretty)
{
    /// <summary>Where the caller does not care, and for errors that no other form can be found for.</summary>
    public static Representation Default { get; } = new(FhirFormat.Json, FhirMediaType.Json, IsPretty: false);

    /// <summary>What was asked for: <c>_format</c> before Accept, the best quality first. Null when nothing of that can be written.</summary>
    public static Representation? Of(HttpRequest request, string? format, bool isPretty)
    {
        var found = format is { Length: > 0 } ? OfParameter(format) : OfAccept(request.Headers.Accept);
        return found is { } chosen ? new Representation(chosen.Format, chosen.MediaType, isPretty) : null;
    }

    // A plus sign that was not encoded arrives as a space; no media type has one, so it can be put back.
    private static (FhirFormat Format, string MediaType)? OfParameter(string format) => format.ToUpperInvariant() switch
    {
        "JSON" => (FhirFormat.Json, FhirMediaType.Json),
        "XML" => (FhirFormat.Xml, FhirMediaType.Xml),
        _ => FhirMediaType.Of(format.Replace("fhir ", "fhir+", StringComparison.OrdinalIgnoreCase).Replace(" fhir", "+fhir", StringComparison.OrdinalIgnoreCase)),
    };

    private static (FhirFormat Format, string MediaType)? OfAccept(Microsoft.Extensions.Primitives.StringValues accept)
    {
        if (accept.All(string.IsNullOrWhiteSpace))
        {
            return (FhirFormat.Json, FhirMediaType.Json);
        }

        if (!MediaTypeHeaderValue.TryParseList([.. accept.OfType<string>()], out var ranges))
        {
            return null;
        }

        var refused = ranges.Where(range => range.Quality == 0).Select(range => FhirMediaType.Of(range)?.Format).ToHashSet();
        return ranges
            .Where(range => range.Quality is not 0)
            .OrderByDescending(range => range.Quality ?? 1)
            .Select(range => range.MatchesAllTypes || (range.MatchesAllSubTypes && range.Type.Equals("application", StringComparison.OrdinalIgnoreCase))
                ? Any(range, refused)
                : FhirMediaType.Of(range))
            .FirstOrDefault(choice => choice is not null);
    }

    private static (FhirFormat Format, string MediaType)? Any(MediaTypeHeaderValue range, HashSet<FhirFormat?> refused) => range switch
    {
        _ when !FhirMediaType.IsR4(range) => null,
        _ when !refused.Contains(FhirFormat.Json) => (FhirFormat.Json, FhirMediaType.Json),
        _ when !refused.Contains(FhirFormat.Xml) => (FhirFormat.Xml, FhirMediaType.Xml),
        _ => null,
    };
}
