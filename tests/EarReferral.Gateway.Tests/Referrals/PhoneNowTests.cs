using EarReferral.Gateway.Referrals;
using EarReferral.Storage.Referrals;

namespace EarReferral.Gateway.Tests.Referrals;

/// <summary>Statuses of the Task: FHIR R4 task-status.</summary>
public sealed class PhoneNowTests
{
    [Theory]
    [InlineData("T0", "requested", true, "nobody has answered")]
    [InlineData("T1", "received", true, "received is not taken")]
    [InlineData("T1", "rejected", true, "the patient still needs somebody")]
    [InlineData("T0", "failed", true, "the patient still needs somebody")]
    [InlineData("T0", "cancelled", true, "the patient still needs somebody")]
    [InlineData("T0", "entered-in-error", true, "the patient still needs somebody")]
    [InlineData("T0", "accepted", false, "taken")]
    [InlineData("T1", "in-progress", false, "taken")]
    [InlineData("T1", "on-hold", false, "taken, with a question")]
    [InlineData("T0", "completed", false, "done")]
    [InlineData("T2", "rejected", false, "not urgent enough for a call at once")]
    public void UrgentReferral_IsPhonedUntilItIsTaken(string tier, string execution, bool expected, string reason) =>
        Assert.True(expected == ReferralEndpoints.PhoneNow(Referral(tier, execution, ReferralState.Delivered)), reason);

    [Fact]
    public void ReferralTakenBackBeforeSending_IsNotPhoned() =>
        Assert.False(ReferralEndpoints.PhoneNow(Referral("T0", "cancelled", ReferralState.Withdrawn)));

    [Fact]
    public void ClosedReferral_IsNotPhoned() =>
        Assert.False(ReferralEndpoints.PhoneNow(Referral("T0", "rejected", ReferralState.Closed)));

    [Fact]
    public void ReferralTakenBackAfterSending_IsPhoned() =>
        Assert.True(ReferralEndpoints.PhoneNow(Referral("T0", "accepted", ReferralState.WithdrawnAfterSending)));

    private static StoredReferral Referral(string tier, string execution, ReferralState state) => new(
        "r", "t", Guid.Empty, Guid.Empty, "harbour-lane", null, "westerquay-ent", tier, 0, null, state, execution, null, ReadOnlyMemory<byte>.Empty, "", "", "", null,
        DateTimeOffset.UnixEpoch, DateTimeOffset.UnixEpoch, DateTimeOffset.UnixEpoch);
}
