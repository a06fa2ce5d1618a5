using System.Net;
using EarReferral.Summary.Sheets;
using Hl7.Fhir.Model;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Gateway.Tests.Fhir;

public sealed class SummaryPageEndpointTests(RecordedVisits visits) : IClassFixture<RecordedVisits>
{
    [Fact]
    public async Task Summary_IsServedAsAPageUnderAPolicyThatAllowsNothingElse()
    {
        using var answer = await GetAsync($"/summaries/{await SummaryAsync()}");
        var page = await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);

        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        Assert.Equal("text/html; charset=utf-8", answer.Content.Headers.ContentType!.ToString());
        Assert.Equal(HtmlPage.ContentSecurityPolicy, Assert.Single(answer.Headers.GetValues("Content-Security-Policy")));
        Assert.Equal("no-store", answer.Headers.CacheControl!.ToString());
        Assert.Contains("Right ear, before the procedure", page, StringComparison.Ordinal);
        Assert.Contains("Left ear, after the procedure", page, StringComparison.Ordinal);
        Assert.Contains("Action for GP needed", page, StringComparison.Ordinal);
    }

    /// <summary>By its own address or by Accept; a browser's own Accept header gets the page.</summary>
    [Theory]
    [InlineData(".pdf", null, true)]
    [InlineData("", "application/pdf", true)]
    [InlineData("", "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8", false)]
    [InlineData("", "text/html;q=0.5, application/pdf", true)]
    [InlineData("/patient-copy", null, false)]
    [InlineData("/patient-copy.pdf", null, true)]
    [InlineData("/patient-copy.pdf?print=large", null, true)]
    public async Task Sheet_ComesAsPageOrAsPdf(string address, string? accept, bool isPdf)
    {
        using var answer = await GetAsync($"/summaries/{await SummaryAsync()}{address}", accept);
        var bytes = await answer.Content.ReadAsByteArrayAsync(TestContext.Current.CancellationToken);

        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        Assert.Equal(isPdf ? "application/pdf" : "text/html", answer.Content.Headers.ContentType!.MediaType);
        // ISO 32000-1, 7.5.2: a PDF begins with %PDF- and its version.
        Assert.Equal(isPdf, bytes.AsSpan().StartsWith("%PDF-"u8));
    }

    [Fact]
    public async Task Pdf_IsTheSameEachTimeAndSoIsItsTag()
    {
        var address = $"/summaries/{await SummaryAsync()}.pdf";
        using var first = await GetAsync(address);
        using var again = await GetAsync(address);

        Assert.Equal(await first.Content.ReadAsByteArrayAsync(TestContext.Current.CancellationToken), await again.Content.ReadAsByteArrayAsync(TestContext.Current.CancellationToken));
        Assert.Equal(first.Headers.ETag, again.Headers.ETag);
        Assert.NotNull(first.Headers.ETag);
    }

    [Fact]
    public async Task UnknownPrintSize_IsRefused()
    {
        using var answer = await GetAsync($"/summaries/{await SummaryAsync()}/patient-copy?print=huge");

        Assert.Equal(HttpStatusCode.BadRequest, answer.StatusCode);
    }

    /// <summary>The addresses of the 201 are ready when they are followed, the letter of the referral among them.</summary>
    [Fact]
    public async Task Links_OfTheReceiptAnswerAtOnce()
    {
        var links = visits.Referred["links"]!.AsObject();
        Assert.Equal(6, links.Count);
        foreach (var (name, link) in links)
        {
            using var answer = await GetAsync(new Uri((string)link!).PathAndQuery);

            Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
            Assert.Equal(name.EndsWith("Pdf", StringComparison.Ordinal) ? "application/pdf" : "text/html", answer.Content.Headers.ContentType!.MediaType);
        }

        using var letter = await GetAsync(new Uri((string)links["referralLetter"]!).PathAndQuery);
        Assert.Contains("Anticoagulant: ", await letter.Content.ReadAsStringAsync(TestContext.Current.CancellationToken), StringComparison.Ordinal);
    }

    /// <summary>RFC 3986, 5.2: the address in the listing resolves against the base, which ends in a stroke.</summary>
    [Fact]
    public async Task DocumentConsumer_FindsThePdf()
    {
        var listing = (await visits.SearchAsync($"/fhir/DocumentReference?patient={visits.Patient}&contenttype=application/pdf")).Entry.Select(entry => entry.Resource).OfType<DocumentReference>().First();
        var attachment = listing.Content.Single(content => content.Attachment!.ContentType == "application/pdf").Attachment!;

        using var answer = await GetAsync(new Uri(new Uri("http://gateway.example/fhir/"), attachment.Url!).AbsolutePath);

        Assert.Equal("application/pdf", answer.Content.Headers.ContentType?.MediaType);
    }

    [Theory]
    [InlineData("/summaries/00000000-0000-4000-8000-000000000000")]
    [InlineData("/summaries/00000000-0000-4000-8000-000000000000.pdf")]
    [InlineData("/summaries/00000000-0000-4000-8000-000000000000/patient-copy")]
    [InlineData("/referrals/00000000-0000-4000-8000-000000000000/letter")]
    public async Task WhatIsNotThere_IsNotFound(string address)
    {
        using var answer = await GetAsync(address);

        Assert.Equal(HttpStatusCode.NotFound, answer.StatusCode);
    }

    private async Task<string> SummaryAsync() =>
        (await visits.SearchAsync($"/fhir/Composition?patient={visits.Patient}")).Entry.Select(entry => entry.Resource).OfType<Composition>().Single().Id!;

    private async Task<HttpResponseMessage> GetAsync(string address, string? accept = null)
    {
        using var request = new HttpRequestMessage(HttpMethod.Get, new Uri(address, UriKind.Relative));
        if (accept is not null)
        {
            request.Headers.Accept.ParseAdd(accept);
        }

        return await visits.Client.SendAsync(request, TestContext.Current.CancellationToken);
    }
}
