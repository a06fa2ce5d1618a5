using EarReferral.Storage.Sending;

namespace EarReferral.Delivery.Sending;

/// <summary>What is sent, made once when the referral was stored and the same for every attempt.</summary>
/// <param name="Body">The stored bytes.</param>
/// <param name="RequestId">Id of this logical send; also its idempotency key.</param>
/// <param name="CorrelationId">Id of the whole conversation about the referral.</param>
/// <param name="Mode">How it is handed over.</param>
/// <param name="IsCorrection">True when the receiver has or may have an earlier one.</param>
internal sealed record OutgoingRequest(ReadOnlyMemory<byte> Body, string RequestId, string CorrelationId, ExchangeMode Mode = ExchangeMode.Transaction, bool IsCorrection = false);
