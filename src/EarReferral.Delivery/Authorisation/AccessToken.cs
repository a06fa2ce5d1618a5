namespace EarReferral.Delivery.Authorisation;

/// <summary>A token, or why there is none.</summary>
internal abstract record AccessToken
{
    /// <summary>A token to send.</summary>
    /// <param name="Value">Its text; null where the receiver wants none.</param>
    public sealed record Granted(string? Value) : AccessToken;

    /// <summary>None now; another time may do.</summary>
    public sealed record Unavailable : AccessToken;

    /// <summary>None until somebody has put right what stands against it: the key, the client or the scope.</summary>
    public sealed record Refused : AccessToken;
}
