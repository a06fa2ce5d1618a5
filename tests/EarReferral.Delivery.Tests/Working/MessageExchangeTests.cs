using EarReferral.Delivery.Destinations;
using EarReferral.Delivery.Tests.Decisions;
using EarReferral.Delivery.Tests.Fixtures;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Sending;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Delivery.Tests.Working;

/// <summary>A receiver that takes messages and no transactions. R4 messaging: MessageHeader first, same id at every try, answers tied by it.</summary>
public sealed class MessageExchangeTests
{
    private static readonly string Messages = CapabilityReadingTests.Statement("\"operation\":[{\"name\":\"process-message\"}]");

    private static CancellationToken Cancellation => TestContext.Current.CancellationToken;

    [Fact]
    public async Task VerifiedReceiverOfMessages_GetsAMessageAndItsAnswerIsTheProof()
    {
        await using var fixture = await VerifiedAsync(Messages);
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();

        Assert.Equal(ReferralState.Delivered, await fixture.StateAsync(id));
        Assert.Empty(fixture.Receiver.Sends);
        var sent = Assert.Single(fixture.Receiver.Messages);
        var bundle = new FhirJsonDeserializer(new DeserializerSettings().UsingMode(DeserializationMode.Recoverable)).Deserialize<Bundle>(sent.Body!);
        var header = Assert.IsType<MessageHeader>(bundle.Entry[0].Resource); // invariant bdl-12
        Assert.Equal(Bundle.BundleType.Message, bundle.Type);
        Assert.All(bundle.Entry, entry => Assert.Null(entry.Request)); // invariant bdl-3
        Assert.Equal([bundle.Id!, bundle.Identifier!.Value!, header.Id!], Enumerable.Repeat(sent.Headers!["X-Request-ID"].Single(), 3));
        Assert.Equal("ServiceRequest", bundle.Entry.Single(entry => entry.FullUrl == header.Focus.Single().Reference).Resource!.TypeName);
    }

    [Fact] // S01 and S02 for messages: the same bytes under the same id, never a probe
    public async Task AmbiguousAnswer_IsFollowedByTheSameMessage_WhichIsProcessedOnce()
    {
        await using var fixture = await VerifiedAsync(Messages);
        fixture.Receiver.Answers(EntReceiver.Status(503), EntReceiver.Status(200, "<html>sign in</html>"));
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();
        await fixture.DeliverWhenPlannedAsync();
        await fixture.DeliverWhenPlannedAsync();

        Assert.Equal(ReferralState.Delivered, await fixture.StateAsync(id));
        Assert.Single(fixture.Receiver.Messages.Select(message => message.Body).Distinct());
        Assert.Equal((3, 1, 0), (fixture.Receiver.Messages.Count, fixture.Receiver.Created, fixture.Receiver.Probes.Count));
    }

    [Theory]
    [InlineData("transient-error", ReferralState.Queued)]
    [InlineData("fatal-error", ReferralState.NeedsHuman)] // R4 response-code: no point in sending it again
    public async Task ResponseCode_Decides(string code, object state)
    {
        await using var fixture = await VerifiedAsync(Messages);
        fixture.Receiver.Answers(request => EntReceiver.Message(200, EntReceiver.Reply(request.Headers!["X-Request-ID"].Single(), code)));
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();

        Assert.Equal((ReferralState)state, await fixture.StateAsync(id));
    }

    [Theory]
    [InlineData(202, true, ReferralState.Delivered)] // custody taken
    [InlineData(204, true, ReferralState.Delivered)] // processed, no answer wanted
    [InlineData(204, false, ReferralState.Queued)] // without our ids anything in front of it may have answered
    public async Task AnswerWithoutABody_ProvesOnlyWhatRepeatsOurIds(int status, bool echoes, object state)
    {
        await using var fixture = await VerifiedAsync(Messages);
        fixture.Receiver.Answers(request => EntReceiver.Message(status, "", echoes ? [("X-Request-Id", request.Headers!["X-Request-ID"].Single())] : []));
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();

        Assert.Equal((ReferralState)state, await fixture.StateAsync(id));
    }

    [Fact]
    public async Task AnswerToAnotherMessage_ProvesNothing()
    {
        await using var fixture = await VerifiedAsync(Messages);
        fixture.Receiver.Answers(EntReceiver.Status(200, EntReceiver.Reply("another", "ok")));
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();

        Assert.Equal(ReferralState.Queued, await fixture.StateAsync(id));
    }

    [Fact] // S08 for messages
    public async Task Duplicate_IsDelivered()
    {
        await using var fixture = await VerifiedAsync(Messages);
        fixture.Receiver.Answers(EntReceiver.Outcome(409, ("error", "duplicate")));
        var id = await fixture.QueueAsync();

        await fixture.DeliverAsync();

        Assert.Equal(ReferralState.Delivered, await fixture.StateAsync(id));
    }

    [Fact]
    public async Task UnreachableMetadata_ParksTheDestination()
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        fixture.Receiver.Metadata = null;

        var state = await VerifyAsync(fixture);

        Assert.Equal((true, "Its /metadata answers with status 404."), (state.Paused, state.Problem));
        await fixture.QueueAsync();
        Assert.False(await fixture.DeliverAsync());
    }

    [Fact]
    public async Task AnotherExchangeThanBefore_ParksUntilAPersonAcceptsIt()
    {
        await using var fixture = await VerifiedAsync(Messages);
        fixture.Receiver.Metadata = CapabilityReadingTests.Statement("""
            "interaction":[{"code":"transaction"}],"resource":[{"type":"ServiceRequest","conditionalCreate":true},{"type":"Task","conditionalCreate":true},{"type":"Patient","conditionalCreate":true}]
            """);

        var mismatch = await VerifyAsync(fixture);
        var accepted = await VerifyAsync(fixture, accept: true);

        Assert.Equal((true, ExchangeMode.Message), (mismatch.Paused, mismatch.Mode));
        Assert.Contains("a person must accept", mismatch.Problem, StringComparison.Ordinal);
        // What had parked it is put right; sending again is still a person's decision.
        Assert.Equal((true, ExchangeMode.Transaction, null), (accepted.Paused, accepted.Mode, accepted.Problem));
    }

    private static async Task<DeliveryFixture> VerifiedAsync(string metadata)
    {
        var fixture = await DeliveryFixture.StartAsync();
        fixture.Receiver.Metadata = metadata;
        Assert.Null((await VerifyAsync(fixture)).Problem);
        return fixture;
    }

    private static async Task<DestinationState> VerifyAsync(DeliveryFixture fixture, bool accept = false) =>
        (await fixture.Get<DestinationVerifier>().VerifyAsync(DeliveryFixture.Destination, accept, "test", Cancellation))!;
}
