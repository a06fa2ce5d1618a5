using EarReferral.Gateway.Tests.Referrals;

namespace EarReferral.Security.Tests.Limits;

/// <summary>Source: OWASP ASVS 4.0.3, 14.4 (headers); RFC 6585, section 4 (429 with Retry-After).</summary>
public sealed class HygieneTests
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task AnswersCarryTheHeaders_AndTooManyRequestsAreAnswered429WithTheTimeToWait()
    {
        await using var gateway = new RunningGateway();
        gateway.Settings["Security:LocalCaller"] = "false";
        gateway.Settings["Security:AnonymousRequestsPerMinute"] = "5";
        await gateway.InitializeAsync();
        var address = new Uri("/fhir/metadata", UriKind.Relative);
        using var first = await gateway.Client.GetAsync(address, Stop);
        for (var more = 0; more < 4; more++)
        {
            using var taken = await gateway.Client.GetAsync(address, Stop);
            Assert.Equal(200, (int)taken.StatusCode);
        }

        using var refused = await gateway.Client.GetAsync(address, Stop);

        Assert.Equal((429, true), ((int)refused.StatusCode, refused.Headers.RetryAfter?.Delta > TimeSpan.Zero));
        Assert.Equal("no-store", first.Headers.CacheControl?.ToString());
        foreach (var (name, value) in new[] { ("X-Content-Type-Options", "nosniff"), ("X-Frame-Options", "DENY"), ("Referrer-Policy", "no-referrer"), ("Content-Security-Policy", "default-src 'none'; frame-ancestors 'none'") })
        {
            Assert.Equal(value, first.Headers.GetValues(name).Single());
        }

        Assert.False(first.Headers.Contains("Server"));
    }
}
