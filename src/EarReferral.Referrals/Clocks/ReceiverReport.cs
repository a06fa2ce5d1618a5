using EarReferral.Referrals.States;

namespace EarReferral.Referrals.Clocks;

/// <summary>One report of the ENT system that was applied.</summary>
/// <param name="At">When the gateway took it.</param>
/// <param name="Status">Status after it.</param>
/// <param name="Business">Finer state after it; null when the report named none that we know.</param>
public sealed record ReceiverReport(DateTimeOffset At, ExecutionStatus Status, BusinessStatus? Business);
