namespace EarReferral.Sandbox.Faults;

/// <summary>How many requests a fault struck.</summary>
/// <param name="Transactions">Transactions.</param>
/// <param name="Searches">Searches.</param>
internal sealed record FaultCount(int Transactions, int Searches);
