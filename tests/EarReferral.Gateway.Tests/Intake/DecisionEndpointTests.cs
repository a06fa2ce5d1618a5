using System.Net;
using System.Net.Http.Json;
using System.Net.Sockets;
using System.Text.Json.Nodes;
using EarReferral.Gateway.Demo;
using EarReferral.Gateway.Tests.Referrals;
using EarReferral.Storage;
using EarReferral.Storage.Audit;
using EarReferral.Testing;

namespace EarReferral.Gateway.Tests.Intake;

/// <summary>Decisions about example 09, whose most urgent rule is R-HL-01 for one ear, T1 (NICE NG98 1.1.2), unless said otherwise.</summary>
public sealed class DecisionEndpointTests(RunningGateway gateway) : IClassFixture<RunningGateway>
{
    private const string SuddenLoss = "09-sudden-loss-12-days";

    private static int number;

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Raising_NeedsNoReasonAndNoConfirmation()
    {
        var visit = await PostAsync(gateway, "11-sudden-loss-39-days"); // R-HL-02, T2

        var (status, receipt) = await DecideAsync(gateway, visit, new { person = "Morwenna Tal", at = visit.Later, tier = "T1" });

        Assert.Equal(HttpStatusCode.OK, status);
        Assert.Equal(("T1", "T2", true, 2), ((string)receipt["decision"]!["tier"]!, (string)receipt["decision"]!["rulesTier"]!, (bool)receipt["phoneNow"]!, (int)receipt["revision"]!));
        Assert.NotNull(receipt["referral"]);
    }

    [Fact]
    public async Task LoweringFromT1_NeedsReasonAndSecondConfirmation()
    {
        var visit = await PostAsync(gateway, SuddenLoss);

        var (status, refusal) = await DecideAsync(gateway, visit, new { person = "Morwenna Tal", at = visit.Later, tier = "T2" });
        var (_, accepted) = await DecideAsync(
            gateway, visit, new { person = "Morwenna Tal", at = visit.Later, tier = "T2", reason = "Seen by ENT this morning.", confirmedBy = "Dr Trelawny" });

        Assert.Equal(HttpStatusCode.UnprocessableEntity, status);
        Assert.Equal(["decision.confirmation-missing", "decision.reason-missing"], Ids(refusal));
        Assert.Equal(("T2", "T1", false), ((string)accepted["decision"]!["tier"]!, (string)accepted["decision"]!["rulesTier"]!, (bool)accepted["phoneNow"]!));
        Assert.Equal("R-HL-01", (string)accepted["decision"]!["fired"]![0]!["rule"]!);
    }

    [Fact]
    public async Task Refusal_MakesNoOrderAndEveryVersionStaysReadable()
    {
        var visit = await PostAsync(gateway, SuddenLoss);
        Assert.NotNull(visit.Receipt["referral"]);

        var (status, receipt) = await DecideAsync(gateway, visit, Declined(visit));
        var history = JsonNode.Parse(await gateway.Client.GetStringAsync(new Uri($"{visit.Path}/decisions", UriKind.Relative), Stop))!["versions"]!.AsArray();
        var newest = JsonNode.Parse(await gateway.Client.GetStringAsync(visit.Path, Stop))!;

        Assert.Equal(HttpStatusCode.OK, status);
        Assert.Equal(("T4", "T1", false), ((string)receipt["decision"]!["tier"]!, (string)receipt["decision"]!["rulesTier"]!, (bool)receipt["phoneNow"]!));
        Assert.Null(receipt["referral"]);
        Assert.True((bool)receipt["decision"]!["answers"]![0]!["counts"]!);
        Assert.Contains("You can change your mind at any time", (string)receipt["decision"]!["tellPatient"]!, StringComparison.Ordinal);
        Assert.Equal(["T1", "T4"], history.Select(version => (string)version!["decision"]!["tier"]!));
        Assert.Equal("Morwenna Tal", (string)history[1]!["person"]!);
        Assert.Equal(receipt.ToJsonString(), newest.ToJsonString());
    }

    [Fact]
    public async Task Repeat_GetsTheSameReceiptAndAnotherDecisionIsStale()
    {
        var visit = await PostAsync(gateway, SuddenLoss);

        var (_, first) = await DecideAsync(gateway, visit, Declined(visit));
        var (again, second) = await DecideAsync(gateway, visit, Declined(visit));
        var (other, _) = await DecideAsync(gateway, visit, new { person = "Morwenna Tal", at = visit.Later, tier = "T0" });
        var (without, _) = await SendAsync(gateway, $"{visit.Path}/decision", Declined(visit), null);

        Assert.Equal(first.ToJsonString(), second.ToJsonString());
        Assert.Equal([HttpStatusCode.OK, HttpStatusCode.PreconditionFailed, HttpStatusCode.PreconditionRequired], [again, other, without]);
    }

    [Fact]
    public async Task Decision_IsAudited()
    {
        var visit = await PostAsync(gateway, SuddenLoss);
        await DecideAsync(gateway, visit, Declined(visit));

        var entries = await gateway.Audit.ListAsync(new Reach.Everything("test"), null, 200, Stop);

        Assert.Contains(entries.Items, entry => entry is { Action: AuditAction.Override, Purpose: "clinician's decision, revision 2" });
    }

    [Fact]
    public async Task HandoverByPhone_KeepsTheOrderAndAsksForNoSecondCall()
    {
        var visit = await PostAsync(gateway, SuddenLoss);

        var (_, receipt) = await DecideAsync(gateway, visit, new
        {
            person = "Morwenna Tal",
            at = visit.Later,
            ruleResponses = new[] { new { ruleId = "R-HL-01", kind = "handedOverByPhone", reason = "Accepted for this afternoon.", handedTo = "ENT clinician on call", handedAt = visit.Later, confirmedBy = "Morwenna Tal" } },
        });

        Assert.Equal(("T1", false), ((string)receipt["decision"]!["tier"]!, (bool)receipt["phoneNow"]!));
        Assert.DoesNotContain(receipt["phoneFirst"]!.AsArray(), call => call!["rules"]!.AsArray().Any(rule => (string)rule! == "R-HL-01"));
        Assert.NotNull(receipt["referral"]);
    }

    [Fact]
    public async Task Screen_IsOnTheReceiptWithWhatItAnswered()
    {
        var document = JsonNode.Parse(await File.ReadAllTextAsync(Repository.At("examples", "encounters", "01-soft-wax-both-ears.json"), Stop))!.AsObject();
        document.Remove("neurology");
        var (_, open) = await SendAsync(gateway, "/encounters/preview", document, null);
        document["screening"] = new JsonObject { ["screen"] = "earCareMinimum", ["version"] = 1, ["noneOfThese"] = "yes", ["person"] = "Morwenna Tal", ["at"] = "2026-03-31T09:30:00+01:00" };

        var (status, screened) = await SendAsync(gateway, "/encounters/preview", document, null);

        Assert.Equal(HttpStatusCode.OK, status);
        Assert.Contains(open["decision"]!["ask"]!.AsArray(), ask => (string?)ask!["group"] == "nerves");
        Assert.Empty(screened["decision"]!["ask"]!.AsArray());
        Assert.Contains(screened["screening"]!["answered"]!.AsArray(), place => (string)place!["finding"]! == "neurology-limb-weakness");
        Assert.Empty(screened["issues"]!.AsArray()); // the observations it makes pass our own profile
    }

    [Fact]
    public async Task IncompleteDecision_GetsEveryProblem()
    {
        var visit = await PostAsync(gateway, SuddenLoss);

        var (_, form) = await DecideAsync(gateway, visit, new { at = "yesterday", tier = "T9", reason = " ", ruleResponses = new[] { new { kind = "ignored" } } });
        var (_, empty) = await DecideAsync(gateway, visit, new { person = "Morwenna Tal", at = visit.Later });
        var (_, gaps) = await DecideAsync(gateway, visit, new
        {
            person = "Morwenna Tal",
            at = "2020-01-01T10:00:00Z",
            ruleResponses = new object[]
            {
                new { ruleId = "R-HL-01", kind = "declinedByPatient", reason = "No.", capacity = "lacksCapacity" },
                new { ruleId = "R-NE-01", kind = "declinedByPatient", reason = "No." },
            },
        });
        var (_, receiver) = await DecideAsync(gateway, visit, new
        {
            person = "Morwenna Tal",
            at = visit.Later,
            ruleResponses = new[] { new { ruleId = "R-HL-01", kind = "alreadyReferred", reason = "Last week.", confirmedBy = "Morwenna Tal" } },
        });

        Assert.Equal(
            ["decision.person-missing", "decision.at-wrong", "decision.tier-unknown", "decision.reason-missing", "decision.rule-not-fired", "decision.kind-unknown", "decision.reason-missing"], Ids(form));
        Assert.Equal(["decision.nothing-decided"], Ids(empty));
        Assert.Equal(["decision.at-wrong", "decision.capacity-missing", "decision.risks-not-explained", "decision.confirmation-missing", "decision.rule-not-fired"], Ids(gaps));
        Assert.Equal(["decision.handed-to-missing", "decision.when-missing"], Ids(receiver));
    }

    [Fact]
    public async Task OrderThatMayHaveGone_IsSaidSoAndAPersonIsToPhone()
    {
        // An ENT system that takes the request and hangs up: whether it was received, nobody knows.
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        using var closing = CancellationTokenSource.CreateLinkedTokenSource(Stop);
        var answering = HangUpAsync(listener, closing.Token);
        var running = new RunningGateway($"http://{listener.LocalEndpoint}/fhir");
        await running.InitializeAsync();
        try
        {
            var visit = await PostAsync(running, SuddenLoss);
            await AttemptedAsync(running, new Uri(new Uri((string)visit.Receipt["referral"]!["referral"]!).AbsolutePath, UriKind.Relative));

            var (_, receipt) = await DecideAsync(running, visit, Declined(visit));

            Assert.Null(receipt["referral"]);
            Assert.True((bool)receipt["phoneNow"]!);
            Assert.Equal(("ent", "possible"), ((string)receipt["receivedBefore"]![0]!["kind"]!, (string)receipt["receivedBefore"]![0]!["known"]!));
            Assert.Equal("noneYet", (string)receipt["correctionReached"]!["state"]!);
            var summary = await running.Client.GetStringAsync(new Uri(new Uri((string)receipt["summary"]!).AbsolutePath, UriKind.Relative), Stop);
            Assert.Contains("Should it have been sent before, this does not call it back", summary, StringComparison.Ordinal);
        }
        finally
        {
            await running.DisposeAsync();
            await closing.CancelAsync();
            await answering;
        }
    }

    private static async Task AttemptedAsync(RunningGateway running, Uri referral)
    {
        using var patience = CancellationTokenSource.CreateLinkedTokenSource(Stop);
        patience.CancelAfter(TimeSpan.FromSeconds(60));
        while (JsonNode.Parse(await running.Client.GetStringAsync(referral, patience.Token))!["attempts"]!.AsArray().Count == 0)
        {
            await Task.Delay(TimeSpan.FromMilliseconds(100), patience.Token);
        }
    }

    private static async Task HangUpAsync(TcpListener listener, CancellationToken stop)
    {
        try
        {
            while (true)
            {
                using var client = await listener.AcceptTcpClientAsync(stop);
                await client.GetStream().ReadAtLeastAsync(new byte[64], 1, throwOnEndOfStream: false, stop);
            }
        }
        catch (OperationCanceledException) when (stop.IsCancellationRequested)
        {
            // The test is over.
        }
    }

    private static object Declined(Visit visit) => new
    {
        person = "Morwenna Tal",
        at = visit.Later,
        ruleResponses = visit.Receipt["decision"]!["fired"]!.AsArray().Where(rule => (string)rule!["tier"]! != "T4").Select(rule => new
        {
            ruleId = (string)rule!["rule"]!,
            side = (string?)rule["side"],
            kind = "declinedByPatient",
            reason = "Does not want to go to hospital.",
            capacity = "hasCapacity",
            risksExplained = "yes",
            confirmedBy = "Dr Trelawny",
        }),
    };

    private static string[] Ids(JsonObject refusal) => [.. refusal["errors"]!.AsArray().Select(error => (string)error!["id"]!)];

    private static async Task<Visit> PostAsync(RunningGateway running, string example)
    {
        var document = ExampleRebase.To(JsonNode.Parse(await File.ReadAllTextAsync(Repository.At("examples", "encounters", $"{example}.json"), Stop))!.AsObject(), TimeProvider.System.GetUtcNow());
        document["encounterId"] = $"decision-{Interlocked.Increment(ref number)}";
        var (status, receipt) = await SendAsync(running, "/encounters", document, null);
        for (var tries = 0; status is HttpStatusCode.ServiceUnavailable && tries < 10; tries++)
        {
            (status, receipt) = await SendAsync(running, "/encounters", document, null); // each waits 5 s for the validator to be warm
        }

        Assert.True(status is HttpStatusCode.Created, receipt.ToJsonString());
        return new Visit(new Uri((string)receipt["encounter"]!).AbsolutePath, (string)document["evaluationInstant"]!, receipt);
    }

    private static Task<(HttpStatusCode Status, JsonObject Body)> DecideAsync(RunningGateway running, Visit visit, object decision) =>
        SendAsync(running, $"{visit.Path}/decision", decision, "\"1\"");

    private static async Task<(HttpStatusCode Status, JsonObject Body)> SendAsync(RunningGateway running, string path, object body, string? ifMatch)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, new Uri(path, UriKind.Relative)) { Content = JsonContent.Create(body) };
        if (ifMatch is not null)
        {
            request.Headers.Add("If-Match", ifMatch);
        }

        using var response = await running.Client.SendAsync(request, Stop);
        return (response.StatusCode, JsonNode.Parse(await response.Content.ReadAsStringAsync(Stop))!.AsObject());
    }

    private sealed record Visit(string Path, string Later, JsonObject Receipt);
}
