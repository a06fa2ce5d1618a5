using EarReferral.Delivery.Alarms;

namespace EarReferral.Delivery.Tests.Alarms;

public sealed class WebhookSignatureTests
{
    /// <summary>Worked out with OpenSSL 3: printf of the four lines and the body into <c>openssl dgst -sha256 -hmac</c>; docs/delivery.md shows it.</summary>
    private const string ByOpenSsl = "ec04d5634edd7e672cc558cfa41a4cd019265fcccfd9457a31efec82a8418de8";

    private const string Secret = "a-secret-of-at-least-32-characters";
    private const string Nonce = "00112233445566778899aabbccddeeff";

    [Fact]
    public void Signature_IsWhatAnotherProgramWorksOut() =>
        Assert.Equal(ByOpenSsl, WebhookSignature.Of(Secret, "message-1", 1774958400, Nonce, """{"id":"message-1"}"""u8));

    [Theory]
    [InlineData("message-2", 1774958400, Nonce, """{"id":"message-1"}""")] // another id: a repeat must not pass for something new
    [InlineData("message-1", 1774958401, Nonce, """{"id":"message-1"}""")] // another time: an old message must not pass for a fresh one
    [InlineData("message-1", 1774958400, "ff112233445566778899aabbccddeeff", """{"id":"message-1"}""")]
    [InlineData("message-1", 1774958400, Nonce, """{"id":"message-1" }""")]
    public void WhateverIsSigned_ChangesTheSignature(string id, long seconds, string nonce, string body) =>
        Assert.NotEqual(ByOpenSsl, WebhookSignature.Of(Secret, id, seconds, nonce, System.Text.Encoding.UTF8.GetBytes(body)));
}
