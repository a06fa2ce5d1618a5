using EarReferral.Gateway.Security;
using EarReferral.Gateway.Security.Tokens;
using Microsoft.Extensions.Options;
using Microsoft.IdentityModel.JsonWebTokens;

namespace EarReferral.Security.Tests.Tokens;

/// <summary>
/// The worked RS384 example of HL7 SMART App Launch 2.2 (Client Authentication: Asymmetric, with the published key RS384.public.json), by
/// the clock of its time. Its ES384 sibling is not used: the key that it names is not among those published.
/// </summary>
public sealed class PublishedAssertionTests : IDisposable
{
    private const string Client = "https://bili-monitor.example.com";

    private const string Signed =
        "eyJhbGciOiJSUzM4NCIsImtpZCI6ImVlZTlmMTdhM2I1OThmZDg2NDE3YTk4MGI1OTFmYmU2IiwidHlwIjoiSldUIn0.eyJpc3MiOiJodHRwczovL2JpbGkt"
        + "bW9uaXRvci5leGFtcGxlLmNvbSIsInN1YiI6Imh0dHBzOi8vYmlsaS1tb25pdG9yLmV4YW1wbGUuY29tIiwiYXVkIjoiaHR0cHM6Ly9hdXRob3JpemUuc21h"
        + "cnRoZWFsdGhpdC5vcmcvdG9rZW4iLCJleHAiOjE0MjI1Njg4NjAsImp0aSI6InJhbmRvbS1ub24tcmV1c2FibGUtand0LWlkLTEyMyJ9.D5kAqNJwaftCqsR"
        + "dVVQDq6dMBxuGFOF5svQJuXbcYp-oEyg5qOwK9ZE5cGLTHxqwfpUPNzRKgVdIGuhawAA-8g0s1nKQae8CuKs33hhKh4J34xSEwW3MYs1gwI4GHTtR_g3kYSX"
        + "6QCi14Ed3GIAvYFgqRqt-gD7sewMUXL4SB8I8cXcDbCqVizm7uPVhjw6QaeKZygJJ_AVLhM4Xs9LTy4HAhdCHpN0FrNmCerUIYJvHDpcod7A0jDmxdoeW1KI"
        + "BYlhdhQNwjtsTvT1ce4qacN_3KIv_fIzCKLIgDv9eWxkjAtxOmIm8aW5gX9xX7X0nbd0QglIyiic_bZVNNEh0kg";

    private const string Key =
        """
        {"keys":[{"kty":"RSA","alg":"RS384","n":"wJq2RHIA-7RT6q4go7wjcbHdW7ck7Kz22A8wf-kN7Wi5CWvhFG2_Y7nQp1lDpb2IKMQr-Q4n_vgJ6d5rWPspJpSPY7iffUK4ipQCEbzID5DJ6fQMBZOfCTXyxkuMh3jYGKEF3Ziw2oxbM1H9j-eJAPtrj5stUG6kVoXowegdox-bSjWP0iI5PnkwUNzcekLMug4M3LRluEQgGR9O_BAML6-w3igZ_rZA_gunyrLAMbfmCVaceW5ohLp679kyM7U6W2gDK_NbkDKcINUakVmPeoG5h8RzgGzvGrySR0k0VDFiZv60Ua07DqHTeDGH9e4NV07AECae-oykIj5NDCs3pw","e":"AQAB","key_ops":["verify"],"ext":true,"kid":"eee9f17a3b598fd86417a980b591fbe6"}]}
        """;

    private static readonly Uri TokenAddress = new("https://authorize.smarthealthit.org/token");
    private static readonly DateTimeOffset Expires = DateTimeOffset.FromUnixTimeSeconds(1_422_568_860);
    private readonly string file = Path.GetTempFileName();

    public void Dispose() => File.Delete(file);

    [Fact]
    public async Task PublishedAssertion_Verifies_AndAChangedOneDoesNot()
    {
        await File.WriteAllTextAsync(file, Key, TestContext.Current.CancellationToken);
        var options = new SecurityOptions { Clients = { [Client] = new ClientOptions { Kind = "gpPractice", Of = "MRS42", Scopes = "system/*.rs", KeysFile = file } } };
        var parameters = AssertionKeys.Parameters(new ClientRegistry(Options.Create(options)));
        var handler = new JsonWebTokenHandler();

        Assert.True((await handler.ValidateTokenAsync(Signed, parameters)).IsValid);
        Assert.False((await handler.ValidateTokenAsync(Signed[..^4] + "AAAA", parameters)).IsValid);
    }

    [Fact]
    public void PublishedClaims_HoldInTheirTime_AndNotNow()
    {
        var assertion = new JsonWebToken(Signed);

        Assert.Null(AssertionClaims.Problem(assertion, TokenAddress, Expires.AddMinutes(-4)));
        Assert.NotNull(AssertionClaims.Problem(assertion, TokenAddress, Expires.AddMinutes(-6)));
        Assert.NotNull(AssertionClaims.Problem(assertion, TokenAddress, Expires.AddMinutes(1)));
        Assert.NotNull(AssertionClaims.Problem(assertion, new Uri("https://authorize.smarthealthit.org/fhir"), Expires.AddMinutes(-4)));
    }
}
