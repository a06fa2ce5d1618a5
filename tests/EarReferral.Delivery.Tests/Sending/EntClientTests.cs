using EarReferral.Delivery.Authorisation;
using EarReferral.Delivery.Sending;
using Microsoft.Extensions.Time.Testing;

namespace EarReferral.Delivery.Tests.Sending;

public sealed class EntClientTests
{
    private static readonly OutgoingRequest Request = new(new byte[] { 123, 125 }, "6d0f7a50-94b2-4c11-8d5e-0b5a4b8f6c01", "6d0f7a50-94b2-4c11-8d5e-0b5a4b8f6c02");

    [Theory]
    [InlineData(HttpRequestError.ConnectionError, 3)] // nothing left this machine
    [InlineData(HttpRequestError.NameResolutionError, 3)]
    [InlineData(HttpRequestError.ResponseEnded, 1)] // it may have been processed: only the outbox sends again
    [InlineData(HttpRequestError.HttpProtocolError, 1)]
    [InlineData(HttpRequestError.SecureConnectionError, 1)] // trying again does not make it trusted
    public async Task Only_what_never_left_is_tried_again_at_once(HttpRequestError error, int tries)
    {
        using var broken = new BrokenNetwork(error);

        var result = await Send(broken);

        Assert.Equal(tries, broken.Bodies.Count);
        Assert.All(broken.Bodies, body => Assert.Equal(Request.Body.ToArray(), body));
        Assert.IsType<AttemptResult.Unanswered>(result);
    }

    [Fact]
    public async Task Transaction_goes_to_the_base_address_itself()
    {
        using var broken = new BrokenNetwork(HttpRequestError.ResponseEnded);

        await Send(broken);

        Assert.Equal("https://ent.example/fhir", Assert.Single(broken.Addresses).AbsoluteUri);
    }

    [Fact]
    public async Task Probe_puts_no_identifier_into_the_address()
    {
        using var broken = new BrokenNetwork(HttpRequestError.ResponseEnded);

        await new EntClient(broken, new TokenSource(broken, new FakeTimeProvider()), new FakeTimeProvider()).ProbeAsync(Destination(), Request, "https://ear-referral.example/identifier/resource|1", TestContext.Current.CancellationToken);

        Assert.Equal("https://ent.example/fhir/ServiceRequest/_search", Assert.Single(broken.Addresses).AbsoluteUri);
    }

    private static Task<AttemptResult> Send(BrokenNetwork network) =>
        new EntClient(network, new TokenSource(network, new FakeTimeProvider()), new FakeTimeProvider()).SendAsync(Destination(), Request, TestContext.Current.CancellationToken);

    private static DestinationOptions Destination() => new() { BaseUrl = new Uri("https://ent.example/fhir") };

    private sealed class BrokenNetwork(HttpRequestError error) : HttpMessageHandler, IHttpClientFactory
    {
        public List<byte[]> Bodies { get; } = [];

        public List<Uri> Addresses { get; } = [];

        public HttpClient CreateClient(string name) => new(this, disposeHandler: false);

        protected override async Task<HttpResponseMessage> SendAsync(HttpRequestMessage request, CancellationToken cancellationToken)
        {
            Addresses.Add(request.RequestUri!);
            Bodies.Add(await request.Content!.ReadAsByteArrayAsync(cancellationToken));
            throw new HttpRequestException(error, "broken on purpose");
        }
    }
}
