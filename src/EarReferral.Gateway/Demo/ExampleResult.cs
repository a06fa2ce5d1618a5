namespace EarReferral.Gateway.Demo;

/// <summary>What became of one example, as read back from gateway and receiver.</summary>
internal sealed record ExampleResult
{
    public required string Name { get; init; }

    public required string ExpectedTier { get; init; }

    public required bool ExpectedReferral { get; init; }

    /// <summary>HTTP status of the post.</summary>
    public required int Status { get; init; }

    public string? Tier { get; init; }

    /// <summary>Rules that fired but were not expected, or the other way round; empty when as stated.</summary>
    public string RuleDifference { get; init; } = "";

    /// <summary>The record passed our own profiles.</summary>
    public bool Valid { get; init; }

    /// <summary>Resources of the record.</summary>
    public int Resources { get; init; }

    public string? ReferralId { get; init; }

    /// <summary>ServiceRequests with this identifier at the receiver; exactly 1 means it arrived once.</summary>
    public int AtReceiver { get; init; }

    /// <summary>The receiver's own Task update came back.</summary>
    public bool Acknowledged { get; init; }

    public Uri? Summary { get; init; }

    /// <summary>Whether everything is as the example's expectation file states.</summary>
    public bool AsStated => Status is 200 or 201 && Tier == ExpectedTier && RuleDifference.Length == 0 && Valid
        && (ReferralId is not null) == ExpectedReferral && (!ExpectedReferral || (AtReceiver == 1 && Acknowledged));
}
