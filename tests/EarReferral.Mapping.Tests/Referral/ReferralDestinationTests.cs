using EarReferral.Mapping.Referral;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Tests.Referral;

/// <summary>FHIR R4 request-priority: routine, urgent, asap, stat, each more urgent than the one before.</summary>
public sealed class ReferralDestinationTests
{
    [Theory]
    [InlineData("", RequestPriority.Asap, RequestPriority.Asap)] // nothing said: all four
    [InlineData("routine urgent", RequestPriority.Routine, RequestPriority.Routine)]
    [InlineData("routine urgent", RequestPriority.Urgent, RequestPriority.Urgent)]
    [InlineData("routine urgent", RequestPriority.Asap, RequestPriority.Urgent)] // nothing more urgent is known there
    [InlineData("routine urgent", RequestPriority.Stat, RequestPriority.Urgent)]
    [InlineData("routine stat", RequestPriority.Urgent, RequestPriority.Stat)] // rather too urgent than too late
    [InlineData("routine asap", RequestPriority.Urgent, RequestPriority.Asap)]
    [InlineData("routine", RequestPriority.Stat, RequestPriority.Routine)]
    public void Priority_IsTheNearestThatTheReceiverKnows(string accepts, RequestPriority wanted, RequestPriority sent)
    {
        var destination = new ReferralDestination(
            DestinationKind.Ent, "WQG07", "Westerquay General, ENT department", null, [.. accepts.Split(' ', StringSplitOptions.RemoveEmptyEntries).Select(code => Enum.Parse<RequestPriority>(code, ignoreCase: true))]);

        Assert.Equal(sent, destination.Nearest(wanted));
    }
}
