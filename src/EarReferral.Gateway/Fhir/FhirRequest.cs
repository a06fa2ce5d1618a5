using EarReferral.Gateway.Intake;
using EarReferral.Gateway.Security;
using EarReferral.Storage;
using Microsoft.Extensions.Primitives;
using Microsoft.Net.Http.Headers;

namespace EarReferral.Gateway.Fhir;

/// <summary>One read request, whether it came by itself or as an entry of a batch.</summary>
/// <param name="Reach">Whose data the caller may see.</param>
/// <param name="Parameters">Names and values, percent-decoded, of address and form together.</param>
/// <param name="IfNoneMatch">Tags of versions that the caller has; <c>*</c> for any.</param>
/// <param name="IfModifiedSince">Time of the version that the caller has.</param>
/// <param name="IsStrict">True when what is not known is to be refused: <c>Prefer: handling=strict</c>.</param>
internal sealed record FhirRequest(
    Reach Reach, IReadOnlyList<KeyValuePair<string, string>> Parameters, IReadOnlyList<string> IfNoneMatch, DateTimeOffset? IfModifiedSince, bool IsStrict)
{
    /// <summary>What the caller's token grants; null where the caller has none and needs none.</summary>
    public ScopeSet? Scopes { get; init; }

    /// <summary>The request of a context.</summary>
    /// <param name="context">The request.</param>
    /// <param name="more">Parameters that came in the body.</param>
    public static FhirRequest Of(HttpContext context, IEnumerable<KeyValuePair<string, StringValues>>? more = null)
    {
        var headers = context.Request.GetTypedHeaders();
        return new FhirRequest(
            Callers.FhirClient(context),
            [.. Pairs(context.Request.Query), .. Pairs(more ?? [])],
            Tags(context.Request.Headers.IfNoneMatch),
            headers.IfModifiedSince,
            context.Request.Headers["Prefer"].Any(preference => preference?.Contains("handling=strict", StringComparison.OrdinalIgnoreCase) == true))
        {
            Scopes = Callers.Of(context).Scopes,
        };
    }

    /// <summary>Opaque parts of the tags in a header, weak or strong: reads compare weakly (RFC 9110, 13.1.2).</summary>
    public static IReadOnlyList<string> Tags(StringValues header) =>
        EntityTagHeaderValue.TryParseList([.. header.OfType<string>()], out var tags) ? [.. tags.Select(tag => tag.Tag.Value!.Trim('"'))] : [];

    /// <summary>First value of a parameter; null when it is not there or empty.</summary>
    public string? Parameter(string name) => Parameters.Where(pair => pair.Key == name && pair.Value.Length > 0).Select(pair => pair.Value).FirstOrDefault();

    /// <summary>Names and values of a query or form.</summary>
    public static IEnumerable<KeyValuePair<string, string>> Pairs(IEnumerable<KeyValuePair<string, StringValues>> values) =>
        values.SelectMany(pair => pair.Value.Select(value => KeyValuePair.Create(pair.Key, value ?? "")));

    /// <summary>True when the caller has this version: If-None-Match decides alone where it is sent (RFC 9110, 13.2.2).</summary>
    /// <param name="tag">Tag of the current version.</param>
    /// <param name="lastUpdated">When it was stored; null where no time is known.</param>
    /// <param name="isFirst">True for a first version. A later one may have followed another within the second that the header can say, so it is sent.</param>
    public bool Has(string tag, DateTimeOffset? lastUpdated = null, bool isFirst = false)
    {
        if (IfNoneMatch.Count > 0)
        {
            return IfNoneMatch.Contains(tag) || IfNoneMatch.Contains("*");
        }

        return lastUpdated is { } stored && IfModifiedSince is { } since
            && (stored.ToUnixTimeSeconds() < since.ToUnixTimeSeconds() || (isFirst && stored.ToUnixTimeSeconds() == since.ToUnixTimeSeconds()));
    }
}
