namespace EarReferral.Delivery.Decisions;

/// <summary>What came back over HTTP, read but not yet judged.</summary>
/// <param name="StatusCode">HTTP status.</param>
/// <param name="Body">What the body turned out to be.</param>
/// <param name="EchoesRequestId">True when the answer repeats our request or correlation id, so the FHIR system itself spoke.</param>
/// <param name="RetryAfter">The header as it came.</param>
/// <param name="Date">The receiver's own clock.</param>
/// <param name="ContentLocation">Where to ask for the result of an asynchronous request.</param>
/// <param name="Location">Where a single created resource lives.</param>
/// <param name="ETag">Its version.</param>
internal sealed record Answer(
    int StatusCode,
    AnswerBody Body,
    bool EchoesRequestId = false,
    string? RetryAfter = null,
    DateTimeOffset? Date = null,
    string? ContentLocation = null,
    string? Location = null,
    string? ETag = null);
