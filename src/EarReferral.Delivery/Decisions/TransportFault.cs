namespace EarReferral.Delivery.Decisions;

/// <summary>Why no whole answer came.</summary>
internal enum TransportFault
{
    /// <summary>Name not found or connection refused: nothing was sent.</summary>
    NotConnected,

    /// <summary>No answer in time; it may have been processed.</summary>
    TimedOut,

    /// <summary>The connection broke; it may have been processed.</summary>
    ConnectionLost,

    /// <summary>The receiver's certificate was not accepted.</summary>
    NotTrusted,

    /// <summary>No access token could be had for the time being: nothing was sent.</summary>
    NoToken,

    /// <summary>The receiver gives this gateway no access token: nothing was sent.</summary>
    TokenRefused,
}
