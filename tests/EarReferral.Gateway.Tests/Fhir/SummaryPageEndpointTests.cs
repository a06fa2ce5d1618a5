using System.Net;
using EarReferral.Summary.Pages;
using Hl7.Fhir.Model;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Gateway.Tests.Fhir;

public sealed class SummaryPageEndpointTests(RecordedVisits visits) : IClassFixture<RecordedVisits>
{
    [Fact]
    public async Task Summary_IsServedAsAPageUnderAPolicyThatAllowsNothingElse()
    {
        var composition = (await visits.SearchAsync($"/fhir/Composition?patient={visits.Patient}")).Entry.Select(entry => entry.Resource).OfType<Composition>().Single();

        using var answer = await visits.Client.GetAsync(new Uri($"/summaries/{composition.Id}", UriKind.Relative), TestContext.Current.CancellationToken);
        var page = await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);

        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        Assert.Equal("text/html; charset=utf-8", answer.Content.Headers.ContentType!.ToString());
        Assert.Equal(Page.ContentSecurityPolicy, Assert.Single(answer.Headers.GetValues("Content-Security-Policy")));
        Assert.Equal("no-store", answer.Headers.CacheControl!.ToString());
        Assert.Contains("Right ear, before the procedure", page, StringComparison.Ordinal);
        Assert.Contains("Left ear, after the procedure", page, StringComparison.Ordinal);
        Assert.Contains("Action for GP needed", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task SummaryThatIsNotThere_IsNotFound()
    {
        using var answer = await visits.Client.GetAsync(new Uri("/summaries/00000000-0000-4000-8000-000000000000", UriKind.Relative), TestContext.Current.CancellationToken);

        Assert.Equal(HttpStatusCode.NotFound, answer.StatusCode);
    }
}
