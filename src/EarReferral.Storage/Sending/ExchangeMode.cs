namespace EarReferral.Storage.Sending;

/// <summary>How referrals are handed to a destination.</summary>
public enum ExchangeMode
{
    /// <summary>A transaction Bundle, posted to the base address.</summary>
    Transaction,

    /// <summary>A message Bundle, posted to <c>$process-message</c>.</summary>
    Message,
}
