using EarReferral.Referrals.States;
using EarReferral.Referrals.Transitions;

namespace EarReferral.Referrals.Tests.Transitions;

/// <summary>Who may end what: the matrix of TaskTransitions; in-progress by abort only: Clinical Order Workflows guide 1.0.</summary>
public sealed class ReferralClosingTests
{
    private static readonly DateTimeOffset Authored = new(2026, 3, 2, 10, 0, 0, TimeSpan.Zero);

    [Theory]
    [InlineData(ExecutionStatus.Draft)]
    [InlineData(ExecutionStatus.Requested)]
    [InlineData(ExecutionStatus.Received)]
    [InlineData(ExecutionStatus.Accepted)]
    public void WorkThatHasNotBegun_IsCancelledAndRevoked(ExecutionStatus status)
    {
        var state = Assert.IsType<ClosingDecision.Cancel>(Decide(status)).State;

        Assert.Equal((ExecutionStatus.Cancelled, AuthorisationStatus.Revoked, BusinessStatus.CancelledByReferrer), (state.Execution, state.Authorisation, state.Business));
        Assert.False(state.SafetyNetOpen);
    }

    [Theory]
    [InlineData(ExecutionStatus.Completed, AuthorisationStatus.Completed)]
    [InlineData(ExecutionStatus.Rejected, AuthorisationStatus.Revoked)]
    [InlineData(ExecutionStatus.Failed, AuthorisationStatus.Revoked)]
    [InlineData(ExecutionStatus.Cancelled, AuthorisationStatus.Revoked)]
    [InlineData(ExecutionStatus.EnteredInError, AuthorisationStatus.EnteredInError)]
    public void WorkThatHasEnded_StaysAsItEnded(ExecutionStatus status, AuthorisationStatus authorisation)
    {
        var state = Assert.IsType<ClosingDecision.AsItEnded>(Decide(status)).State;

        Assert.Equal((status, authorisation), (state.Execution, state.Authorisation));
        Assert.False(state.SafetyNetOpen);
    }

    [Theory]
    [InlineData(ExecutionStatus.InProgress)]
    [InlineData(ExecutionStatus.OnHold)]
    [InlineData(ExecutionStatus.Ready)]
    public void WorkUnderWay_IsNotTheClinicsToEnd(ExecutionStatus status) => Assert.IsType<ClosingDecision.WorkUnderWay>(Decide(status));

    [Fact]
    public void ClockThatRunsBehindTheDecision_DoesNotStandInTheWay() =>
        Assert.IsType<ClosingDecision.Cancel>(ReferralClosing.Decide(At(ExecutionStatus.Requested), Authored, Authored.AddMinutes(-10)));

    private static ClosingDecision Decide(ExecutionStatus status) => ReferralClosing.Decide(At(status), Authored, Authored.AddDays(1));

    private static ReferralState At(ExecutionStatus status) => new("task", DeliveryState.Delivered, AuthorisationStatus.Active, status);
}
