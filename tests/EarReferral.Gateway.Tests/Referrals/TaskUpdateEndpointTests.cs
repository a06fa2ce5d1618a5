using System.Net;
using System.Net.Http.Headers;
using EarReferral.Gateway.Fhir;
using Hl7.Fhir.Model;
using FhirTask = Hl7.Fhir.Model.Task;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Gateway.Tests.Referrals;

/// <summary>Statuses: FHIR R4 RESTful API, "update" and "conditional update".</summary>
public sealed class TaskUpdateEndpointTests(RunningGateway gateway) : IClassFixture<RunningGateway>
{
    [Fact]
    public async Task BodyWithAnotherId_IsABadRequest()
    {
        var (id, sent) = await StoreAsync();
        sent.Id = "another";

        Assert.Equal(HttpStatusCode.BadRequest, await PutAsync($"/fhir/Task/{id}", sent));
    }

    [Fact]
    public async Task FoundByIdentifier_TheReceiversOwnIdIsNoMatter()
    {
        var (id, sent) = await StoreAsync();
        sent.Id = "receivers-own";

        Assert.Equal(HttpStatusCode.OK, await PutAsync($"/fhir/Task?identifier=https://ear-referral.example/identifier/resource|{id}", sent));
    }

    [Fact]
    public async Task IdentifiersWithoutOurs_AreAboutAnotherTask()
    {
        var (id, sent) = await StoreAsync();
        sent.Identifier = [new Identifier("https://ear-referral.example/identifier/resource", "another")];

        Assert.Equal(HttpStatusCode.UnprocessableEntity, await PutAsync($"/fhir/Task/{id}", sent));
    }

    [Theory]
    [InlineData(true)] // the receiver adds its own
    [InlineData(false)] // or sends none
    public async Task OursAmongTheIdentifiersOrNone_IsApplied(bool withIdentifiers)
    {
        var (id, sent) = await StoreAsync();
        sent.Identifier = withIdentifiers ? [new Identifier("https://westerquay.example/task", "7"), .. sent.Identifier] : [];

        Assert.Equal(HttpStatusCode.OK, await PutAsync($"/fhir/Task/{id}", sent));
    }

    private async Task<(string Id, FhirTask Sent)> StoreAsync()
    {
        var (referralId, taskId) = await gateway.StoreAsync(RunningGateway.Unserved);
        var sent = RunningGateway.Task(taskId, referralId);
        sent.Status = FhirTask.TaskStatus.Received;
        sent.LastModified = "2026-03-02T10:05:00Z";
        return (taskId, sent);
    }

    private async Task<HttpStatusCode> PutAsync(string path, FhirTask task)
    {
        using var request = new HttpRequestMessage(HttpMethod.Put, new Uri(path, UriKind.Relative)) { Content = new ByteArrayContent(FhirJson.Bytes(task)) };
        request.Content.Headers.ContentType = new MediaTypeHeaderValue("application/fhir+json");
        request.Headers.TryAddWithoutValidation("If-Match", "W/\"1\"");
        using var response = await gateway.Client.SendAsync(request, TestContext.Current.CancellationToken);
        return response.StatusCode;
    }
}
