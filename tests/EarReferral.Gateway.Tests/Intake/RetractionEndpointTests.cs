using System.Net;
using System.Net.Http.Json;
using System.Text.Json.Nodes;
using EarReferral.Gateway.Intake;
using EarReferral.Gateway.Tests.Referrals;
using EarReferral.Referrals.States;
using EarReferral.Referrals.Transitions;
using EarReferral.Storage.Encounters;
using EarReferral.Validation;
using Hl7.Fhir.Model;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Gateway.Tests.Intake;

public sealed class RetractionEndpointTests(RunningGateway gateway) : IClassFixture<RunningGateway>
{
    private static readonly object Wrong = new { reason = "wrongPatient", person = "Morwenna Tal", text = "Recorded under the wrong patient." };

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Retraction_IsGivenOnceAndItsRepeatGetsTheSameReceipt()
    {
        var encounter = await StoredAsync();

        var first = await RetractAsync(encounter, Wrong, "\"1\"");
        var second = await RetractAsync(encounter, Wrong, "\"1\"");
        var other = await RetractAsync(encounter, new { reason = "wrongEar", person = "Morwenna Tal", text = "Other." }, "\"1\"");
        var newest = await gateway.Client.GetStringAsync(encounter, Stop);

        Assert.Equal(HttpStatusCode.OK, first.Status);
        Assert.Equal(("retracted", 2, false), ((string)first.Body["state"]!, (int)first.Body["revision"]!, (bool)first.Body["phoneNow"]!));
        Assert.Equal("notNeeded", (string)first.Body["correctionReached"]!["state"]!);
        Assert.Equal(first.Body.ToJsonString(), second.Body.ToJsonString());
        Assert.Equal(first.Body.ToJsonString(), JsonNode.Parse(newest)!.ToJsonString());
        AssertProblem(HttpStatusCode.Conflict, "encounter-retracted", other);
    }

    [Fact]
    public async Task WhatFollowsARetraction_IsRefusedByItsOwnProblem()
    {
        var encounter = await StoredAsync();
        await RetractAsync(encounter, Wrong, "\"1\"");

        var answers = new { person = "Morwenna Tal", at = "2026-03-02T12:00:00Z", given = new[] { new { finding = "hearing-change", side = "right", value = "sudden" } } };
        AssertProblem(HttpStatusCode.Conflict, "encounter-retracted", await SendAsync(HttpMethod.Post, $"{encounter}/answers", answers, null));
    }

    [Theory]
    [InlineData(null, HttpStatusCode.PreconditionRequired, "if-match-required")]
    [InlineData("\"7\"", HttpStatusCode.PreconditionFailed, "stale")]
    public async Task WithoutTheRightIfMatch_NothingIsRetracted(string? ifMatch, HttpStatusCode status, string type)
    {
        var encounter = await StoredAsync();

        AssertProblem(status, type, await RetractAsync(encounter, Wrong, ifMatch));

        Assert.Equal(HttpStatusCode.OK, (await RetractAsync(encounter, Wrong, "\"1\"")).Status);
    }

    [Fact]
    public async Task IncompleteRetraction_GetsEveryProblem()
    {
        var (status, body) = await RetractAsync(await StoredAsync(), new { reason = "becauseIWant" }, "\"1\"");

        Assert.Equal(HttpStatusCode.UnprocessableEntity, status);
        Assert.Equal(["retraction.reason-unknown", "retraction.person-missing", "retraction.text-missing"], body["errors"]!.AsArray().Select(error => (string)error!["id"]!));
    }

    [Fact]
    public async Task EncounterThatIsNotThere_IsNotFound() =>
        AssertProblem(HttpStatusCode.NotFound, "not-found", await RetractAsync(new Uri($"/encounters/{Guid.NewGuid()}", UriKind.Relative), Wrong, "\"1\""));

    [Fact]
    public void Placer_MayWriteEnteredInErrorOverEveryOtherStatus() // what the store does on a retraction, by the matrix
    {
        Assert.All(
            Enum.GetValues<ExecutionStatus>().Where(status => status != ExecutionStatus.EnteredInError),
            status => Assert.Equal(TransitionRule.Apply, TaskTransitions.Rule(status, ExecutionStatus.EnteredInError, Party.Placer)));
    }

    [Fact]
    public void Provenance_PassesOurOwnProfile()
    {
        var at = new DateTimeOffset(2026, 3, 2, 12, 0, 0, TimeSpan.Zero);
        var current = new StoredEncounter(
            Guid.NewGuid(), "harbour-lane", "HL-1", 1, "1.0", "Europe/London", Guid.NewGuid(), null, "", "{}"u8.ToArray(), at, at, "triaged", "T3", false, "{}"u8.ToArray(), "{}"u8.ToArray());
        var provenance = RetractionProvenance.Make(current, new Retraction { Reason = "wrongEar", Person = "Morwenna Tal", Text = "Ears mixed up." }, "00", at);
        provenance.Target = [new ResourceReference($"Encounter/{current.EncounterKey}")];

        var report = new ReferralValidator(ProfileSet.Embedded()).Validate(provenance);

        Assert.Empty(report.Issues.Where(issue => issue.Severity == IssueSeverity.Error).Select(issue => $"{issue.Location} {issue.Text}"));
    }

    private static void AssertProblem(HttpStatusCode status, string type, (HttpStatusCode Status, JsonObject Body) answer) =>
        Assert.Equal((status, $"https://ear-referral.example/problems/{type}"), (answer.Status, (string)answer.Body["type"]!));

    private async Task<Uri> StoredAsync()
    {
        var (referral, _) = await gateway.StoreAsync(RunningGateway.Unserved);
        var view = JsonNode.Parse(await gateway.Client.GetStringAsync(new Uri($"/referrals/{referral}", UriKind.Relative), Stop))!;
        return new Uri(new Uri((string)view["encounter"]!).AbsolutePath, UriKind.Relative);
    }

    private Task<(HttpStatusCode Status, JsonObject Body)> RetractAsync(Uri encounter, object body, string? ifMatch) =>
        SendAsync(HttpMethod.Post, $"{encounter}/retraction", body, ifMatch);

    private async Task<(HttpStatusCode Status, JsonObject Body)> SendAsync(HttpMethod method, string path, object body, string? ifMatch)
    {
        using var request = new HttpRequestMessage(method, new Uri(path, UriKind.Relative)) { Content = JsonContent.Create(body) };
        if (ifMatch is not null)
        {
            request.Headers.Add("If-Match", ifMatch);
        }

        using var response = await gateway.Client.SendAsync(request, Stop);
        return (response.StatusCode, JsonNode.Parse(await response.Content.ReadAsStringAsync(Stop))!.AsObject());
    }
}
