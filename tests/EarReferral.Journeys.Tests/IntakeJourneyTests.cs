using System.Text.Json.Nodes;
using EarReferral.Journeys.Tests.Processes;

namespace EarReferral.Journeys.Tests;

public sealed class IntakeJourneyTests(RunningWorld running) : IClassFixture<RunningWorld>
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    private World World => running.World;

    [Fact]
    public async Task SamePostTwice_GivesTheSameReceiptAndStoresOnce()
    {
        var document = World.Fresh("01-");

        var (first, receipt) = await World.PostAsync(document, Stop);
        var (second, repeated) = await World.PostAsync(document, Stop);

        Assert.Equal((201, 200), (first, second));
        Assert.Equal(receipt.ToJsonString(), repeated.ToJsonString());
    }

    [Fact]
    public async Task SameContentInOtherOrderAndSpacing_IsTheSamePost()
    {
        var document = World.Fresh("01-");
        var (_, receipt) = await World.PostAsync(document, Stop);
        var reordered = new JsonObject(document.Reverse().Select(member => KeyValuePair.Create(member.Key, member.Value?.DeepClone())));

        var (status, repeated) = await World.PostAsync(reordered, Stop);

        Assert.Equal(200, status);
        Assert.Equal(receipt.ToJsonString(), repeated.ToJsonString());
    }

    [Fact]
    public async Task SameRevisionWithOtherContent_IsAConflict()
    {
        var document = World.Fresh("01-");
        await World.PostAsync(document, Stop);
        document["reasonForVisit"] = "Something else";

        var (status, problem) = await World.PostAsync(document, Stop);

        Assert.Equal(409, status);
        Assert.EndsWith("content-differs", (string)problem["type"]!, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Refused_ListsEveryProblemAndStoresNothing()
    {
        var document = World.Fresh("01-");
        document["unknownMember"] = 1;
        document["patient"]!["birthDate"] = "not a date";

        var (status, problem) = await World.PostAsync(document, Stop);

        Assert.Equal(422, status);
        var errors = problem["errors"]!.AsArray();
        Assert.Contains(errors, error => (string)error!["pointer"]! == "/unknownMember");
        Assert.Contains(errors, error => (string)error!["pointer"]! == "/patient/birthDate");
        var (_, list) = await World.GetAsync("/encounters?count=200", Stop);
        Assert.DoesNotContain(list!["items"]!.AsArray(), item => (string)item!["encounterId"]! == (string)document["encounterId"]!);
    }

    [Fact]
    public async Task RefusedWithARedFlagInItsReadablePart_SaysPhoneNow()
    {
        var document = World.Fresh("09-");
        document["patient"]!["birthDate"] = "1950-13-01";

        var (status, problem) = await World.PostAsync(document, Stop);

        Assert.Equal(422, status);
        Assert.True((bool)problem["phoneNow"]!, problem.ToJsonString());
        Assert.Contains("PHONE NOW", (string)problem["detail"]!, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Preview_DecidesAndStoresNothing()
    {
        var document = World.Fresh("09-");

        var (status, receipt) = await World.PostAsync(document, Stop, "/encounters/preview");

        Assert.Equal(200, status);
        Assert.Equal("T1", (string)receipt["decision"]!["tier"]!);
        Assert.Equal("preview", (string)receipt["state"]!);
        var (_, list) = await World.GetAsync("/encounters?count=200", Stop);
        Assert.DoesNotContain(list!["items"]!.AsArray(), item => (string)item!["encounterId"]! == (string)document["encounterId"]!);
    }

    [Fact]
    public async Task AnswerToTheOpenQuestion_TriagesTheEncounterAsItsNextRevision()
    {
        var (status, receipt) = await World.PostAsync(World.Fresh("15-"), Stop);
        Assert.Equal(201, status);
        Assert.Equal("awaitingAnswer", (string)receipt["state"]!);
        var question = receipt["decision"]!["questions"]!.AsArray().First(asked => (string)asked!["rule"]! == "R-HL-01")!;

        var (answered, next) = await World.PostAsync(
            new JsonObject
            {
                ["person"] = "Morwenna Tal",
                ["at"] = "2026-03-31T16:00:00+01:00",
                ["given"] = new JsonArray(new JsonObject { ["finding"] = "hearing-onset-date", ["side"] = (string?)question["side"], ["value"] = "2026-03-20" }),
            },
            Stop,
            new Uri((string)receipt["encounter"]!).AbsolutePath + "/answers");

        Assert.Equal(200, answered);
        Assert.Equal(2, (int)next["revision"]!);
        Assert.Equal("T1", (string)next["decision"]!["tier"]!);
    }

    [Fact]
    public async Task CorrectionWithoutIfMatch_IsAskedForIt()
    {
        var document = World.Fresh("01-");
        var (_, receipt) = await World.PostAsync(document, Stop);
        document["revision"] = 2;
        document["supersedes"] = new JsonObject { ["revision"] = 1, ["reason"] = "Side was noted wrongly", ["person"] = "Morwenna Tal" };

        using var body = new StringContent(document.ToJsonString(), System.Text.Encoding.UTF8, "application/json");
        using var without = await World.Http.PutAsync(new Uri((string)receipt["encounter"]!), body, Stop);
        using var request = new HttpRequestMessage(HttpMethod.Put, (string)receipt["encounter"]!) { Content = new StringContent(document.ToJsonString(), System.Text.Encoding.UTF8, "application/json") };
        request.Headers.TryAddWithoutValidation("If-Match", "\"1\"");
        using var with = await World.Http.SendAsync(request, Stop);

        Assert.Equal(428, (int)without.StatusCode);
        Assert.Equal(200, (int)with.StatusCode);
        Assert.Equal("\"2\"", with.Headers.ETag!.ToString());
    }

    [Fact]
    public async Task UnknownClinic_IsTurnedAway()
    {
        var document = World.Fresh("01-");
        document["clinic"]!["id"] = "somewhere-else";

        Assert.Equal(403, (await World.PostAsync(document, Stop)).Status);
    }
}
