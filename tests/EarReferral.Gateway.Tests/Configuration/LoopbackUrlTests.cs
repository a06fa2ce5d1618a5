using EarReferral.Gateway.Configuration;

namespace EarReferral.Gateway.Tests.Configuration;

public sealed class LoopbackUrlTests
{
    [Theory]
    [InlineData("http://127.0.0.1:5080")]
    [InlineData("http://127.8.9.10:5080")]
    [InlineData("http://localhost:1")]
    [InlineData("http://[::1]:5080")]
    public void LoopbackAddress_IsServed(string url) => Assert.Null(LoopbackUrl.Refusal(url));

    [Theory]
    [InlineData("http://0.0.0.0:5080", "every interface")]
    [InlineData("http://[::]:5080", "every interface")]
    [InlineData("http://*:5080", "a wildcard of the server")]
    [InlineData("http://127.0.0.1:5080;http://0.0.0.0:5081", "a second address behind the first")]
    [InlineData("http://127.0.0.1.example.org", "a name that only looks like loopback")]
    [InlineData("127.0.0.1:5080", "no scheme")]
    public void AnyOtherAddress_IsRefused(string url, string because) => Assert.True(LoopbackUrl.Refusal(url) is not null, because);
}
