namespace EarReferral.Delivery.Decisions;

/// <summary>Why the same bytes are sent again.</summary>
internal enum RetryReason
{
    /// <summary>Connection refused or name not found: nothing left this machine.</summary>
    NotConnected,

    /// <summary>No access token could be had, so nothing was sent.</summary>
    NoToken,

    /// <summary>No answer in time.</summary>
    TimedOut,

    /// <summary>The connection broke before a whole answer came.</summary>
    ConnectionLost,

    /// <summary>408 or 425.</summary>
    NotProcessedInTime,

    /// <summary>Another request with the same key or lock is under way.</summary>
    Contention,

    /// <summary>429.</summary>
    Throttled,

    /// <summary>500 or another 5xx without a row of its own.</summary>
    ServerError,

    /// <summary>502, 503 or 504.</summary>
    Unavailable,

    /// <summary>Neither an OperationOutcome nor our ids came back: a proxy spoke, not the ENT system.</summary>
    IntermediaryAnswered,

    /// <summary>The answer proved nothing and the probe did not find the referral.</summary>
    NotFoundByProbe,

    /// <summary>The probe itself got no clear answer.</summary>
    ProbeFailed,

    /// <summary>Called a duplicate, and the probe got no clear answer: only probed again, never sent again.</summary>
    DuplicateUnconfirmed,

    /// <summary>The asynchronous result did not come in time.</summary>
    ResultOutstanding,
}

/// <summary>Why the receiver is asked whether it has the referral.</summary>
internal enum ProbeReason
{
    /// <summary>It says it has it already.</summary>
    ReportedDuplicate,

    /// <summary>It answered with success, but the answer proves nothing.</summary>
    UnprovenSuccess,

    /// <summary>A 200 whose body is no FHIR and repeats none of our ids: something in front of the receiver answered, such as a sign-in page.</summary>
    PageInsteadOfAnswer,

    /// <summary>An earlier attempt may have been processed.</summary>
    EarlierAttemptOpen,
}

/// <summary>Why a person must act on a referral.</summary>
internal enum HumanReason
{
    /// <summary>400.</summary>
    Malformed,

    /// <summary>409 that is neither a duplicate nor contention.</summary>
    BusinessConflict,

    /// <summary>412 multiple-matches: the receiver holds the patient or another resource more than once.</summary>
    MultipleMatches,

    /// <summary>412 for another reason.</summary>
    PreconditionFailed,

    /// <summary>413, 414 or 431.</summary>
    TooLarge,

    /// <summary>422.</summary>
    RejectedByRule,

    /// <summary>An error whose issue codes call the content wrong or the processing final.</summary>
    FinalError,

    /// <summary>Called a duplicate, but the probe does not find it.</summary>
    DuplicateNotFound,

    /// <summary>The probe found it more than once.</summary>
    FoundTwice,

    /// <summary>Twice it answered with success, and twice the probe did not find the referral.</summary>
    AnswersProveNothing,

    /// <summary>The stored request cannot be read as a transaction with one ServiceRequest, or its bytes have changed.</summary>
    StoredRequestUnusable,
}

/// <summary>Why a destination gets nothing more until somebody has put it right.</summary>
internal enum ParkReason
{
    /// <summary>3xx: body and token are not sent to a place nobody configured.</summary>
    Redirected,

    /// <summary>401 again after a new token, or no token to renew.</summary>
    NotAuthenticated,

    /// <summary>The token endpoint refuses this gateway, or the key cannot be used.</summary>
    TokenRefused,

    /// <summary>403 from the ENT system itself, or an error of the security group.</summary>
    NotAllowed,

    /// <summary>404, 405, 406, 410 or 415 from the ENT system itself, or 501: wrong address or wrong contract.</summary>
    EndpointWrong,

    /// <summary>422 about the idempotency key: the body changed under its key, which is our own fault.</summary>
    KeyReused,

    /// <summary>The certificate or the TLS handshake failed.</summary>
    NotTrusted,

    /// <summary>The place to ask for the result is on another host.</summary>
    ForeignPollLocation,
}
