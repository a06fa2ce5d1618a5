using System.Net;
using System.Net.Http.Json;
using System.Text.Json.Nodes;
using EarReferral.Gateway.Tests.Referrals;
using EarReferral.Testing;

namespace EarReferral.Gateway.Tests.Patients;

/// <summary>From the posted visit to the GP's search: a record whose identity is not settled is withheld, told of, and settled by a person.</summary>
public sealed class IdentityEndpointTests(RunningGateway gateway) : IClassFixture<RunningGateway>
{
    private static readonly object Decision = new { person = "Morwenna Tal", reason = "Asked the patient and read the passport." };

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task OneNumberWithTwoBirthDates_IsWithheldListedAndSettledByAPerson()
    {
        const string Number = "9990000107";
        await PostAsync("ID-1", "PI-1", Number, "1957-04-02");
        await PostAsync("ID-2", "PI-2", Number, "1975-04-02");

        var withheld = await SearchAsync(Number);
        var matters = await MattersAsync();

        Assert.Equal(0, (int)withheld["total"]!);
        var outcome = Assert.Single(withheld["entry"]!.AsArray())!;
        Assert.Equal("outcome", (string)outcome["search"]!["mode"]!);
        var issue = Assert.Single(outcome["resource"]!["issue"]!.AsArray())!;
        Assert.Equal(("warning", "suppressed"), ((string)issue["severity"]!, (string)issue["code"]!));
        Assert.Contains("2 patient record(s)", (string)issue["diagnostics"]!, StringComparison.Ordinal);
        Assert.Equal(["sharedNumber", "sharedNumber"], matters.Select(matter => (string)matter["conflict"]!));
        Assert.DoesNotContain(matters, matter => matter.ToJsonString().Contains(Number, StringComparison.Ordinal) || matter["tier"] is not null);

        var (wrong, right) = ((string)matters[0]["patientId"]!, (string)matters[1]["patientId"]!);
        var (unlinked, body) = await DecideAsync(wrong, "unlink", Decision);

        Assert.Equal((HttpStatusCode.OK, "unlinked"), (unlinked, (string)body["state"]!));
        Assert.Empty(await MattersAsync());
        var settled = await SearchAsync(Number);
        Assert.Equal(1, (int)settled["total"]!);
        Assert.Equal($"Patient/{right}", (string)Assert.Single(settled["entry"]!.AsArray())!["resource"]!["subject"]!["reference"]!);

        Assert.Equal(HttpStatusCode.OK, (await DecideAsync(right, "link", Decision)).Status);
        var (refused, problem) = await DecideAsync(wrong, "link", Decision);
        Assert.Equal((HttpStatusCode.Conflict, "https://ear-referral.example/problems/other-is-linked"), (refused, (string)problem["type"]!));
    }

    [Fact]
    public async Task IncompleteDecision_GetsEveryProblem()
    {
        var (status, body) = await DecideAsync("unknown", "link", new { person = " " });

        Assert.Equal(HttpStatusCode.UnprocessableEntity, status);
        Assert.Equal(["identity.person-missing", "identity.reason-missing"], body["errors"]!.AsArray().Select(error => (string)error!["id"]!));
    }

    [Theory]
    [InlineData("link")]
    [InlineData("unlink")]
    public async Task PatientThatIsNotThere_IsNotFound(string action) =>
        Assert.Equal(HttpStatusCode.NotFound, (await DecideAsync("unknown", action, Decision)).Status);

    private async Task PostAsync(string encounter, string patient, string number, string birthDate)
    {
        var document = JsonNode.Parse(await File.ReadAllTextAsync(Repository.At("examples", "encounters", "01-soft-wax-both-ears.json"), Stop))!;
        document["encounterId"] = encounter;
        document["patient"]!["id"] = patient;
        document["patient"]!["birthDate"] = birthDate;
        document["patient"]!["nhsNumber"]!["value"] = number;
        for (var tries = 0; ; tries++)
        {
            using var response = await gateway.Client.PostAsJsonAsync(new Uri("/encounters", UriKind.Relative), document, Stop);
            if (response.StatusCode != HttpStatusCode.ServiceUnavailable || tries == 60)
            {
                Assert.True(response.StatusCode == HttpStatusCode.Created, await response.Content.ReadAsStringAsync(Stop));
                return;
            }

            // The validator warms up; a client does the same as Retry-After says.
            await Task.Delay(TimeSpan.FromSeconds(2), Stop);
        }
    }

    private async Task<JsonNode> SearchAsync(string number) => JsonNode.Parse(await gateway.Client.GetStringAsync(
        new Uri($"/fhir/Encounter?patient.identifier={Uri.EscapeDataString($"https://fhir.nhs.uk/Id/nhs-number|{number}")}", UriKind.Relative), Stop))!;

    private async Task<List<JsonNode>> MattersAsync() =>
        [.. JsonNode.Parse(await gateway.Client.GetStringAsync(new Uri("/attention", UriKind.Relative), Stop))!["items"]!.AsArray()
            .OfType<JsonNode>().Where(matter => (string)matter["kind"]! == "identityConflict")];

    private async Task<(HttpStatusCode Status, JsonObject Body)> DecideAsync(string patient, string action, object decision)
    {
        using var response = await gateway.Client.PostAsJsonAsync(new Uri($"/patients/{patient}/{action}", UriKind.Relative), decision, Stop);
        return (response.StatusCode, JsonNode.Parse(await response.Content.ReadAsStringAsync(Stop))!.AsObject());
    }
}
