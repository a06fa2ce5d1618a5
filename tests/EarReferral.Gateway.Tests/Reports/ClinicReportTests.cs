using System.Text;
using System.Text.Json.Nodes;
using EarReferral.Gateway.Security.People;
using EarReferral.Gateway.Tests.Referrals;
using EarReferral.Testing;
using Microsoft.Extensions.DependencyInjection;

namespace EarReferral.Gateway.Tests.Reports;

/// <summary>Every figure of the report, counted again from the FHIR resources that the same visits became, by another way than the report's own.</summary>
public sealed class ClinicReportTests
{
    private const string Own = "https://ear-referral.example/fhir/CodeSystem/";

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task FiguresAreThoseOfTheStoredResources()
    {
        await using var gateway = new RunningGateway();
        await gateway.InitializeAsync();
        var documents = Directory.GetFiles(Repository.At("examples", "encounters"), "*.json").Order(StringComparer.Ordinal).Select(file => JsonNode.Parse(File.ReadAllText(file))!).ToList();
        foreach (var document in documents)
        {
            await PostAsync(gateway, document);
        }

        var figures = await FiguresAsync(gateway, "2026-03");

        // The month is the clinic's own: a visit on 31 March, 17:30 in summer time, is of March; one on 1 April is not.
        var visits = (await AllAsync(gateway, "Encounter")).Where(visit => ((string)visit["period"]!["start"]!).StartsWith("2026-03", StringComparison.Ordinal)).Select(visit => (string)visit["id"]!).ToHashSet(StringComparer.Ordinal);
        Assert.Equal(documents.Count - 1, visits.Count);
        Assert.Equal(visits.Count, figures["visit.all"]);
        var procedures = (await AllAsync(gateway, "Procedure")).Where(InMonth).ToList();
        foreach (var (figure, code) in new[] { ("ear.clear", "clear"), ("ear.thin-layer", "thin-layer-left-on-drum"), ("ear.incomplete", "incomplete"), ("ear.stopped", "abandoned") })
        {
            Assert.Equal((figure, procedures.Count(procedure => Has(procedure["outcome"], "outcome-result", code))), (figure, figures[figure]));
        }

        Assert.Equal(procedures.Count(procedure => (string?)procedure["status"] == "not-done"), figures["ear.not-started"]);
        foreach (var reason in figures.Keys.Where(key => key.StartsWith("stop.", StringComparison.Ordinal) && key != "stop.not-recorded").ToList())
        {
            Assert.Equal((reason, procedures.Count(procedure => Has(procedure["statusReason"], "stop-reason", reason["stop.".Length..]))), (reason, figures[reason]));
        }

        var observations = (await AllAsync(gateway, "Observation")).Where(InMonth).ToList();
        foreach (var (figure, finding, value) in new[]
        {
            ("harm.bleeding-stopped", "complications-bleeding", "stopped"), ("harm.bleeding-not-stopping", "complications-bleeding", "not-stopping"),
            ("harm.pain-mild", "complications-pain", "mild"), ("harm.pain-moderate", "complications-pain", "moderate"), ("harm.pain-severe", "complications-pain", "severe"),
            ("harm.vertigo-transient", "patient-complications-vertigo", "transient"), ("harm.vertigo-at-leaving", "patient-complications-vertigo", "still-present-at-leaving"),
        })
        {
            Assert.Equal((figure, observations.Count(each => Is(each, finding) && Codes(each["valueCodeableConcept"]).Any(code => code.Code == value))), (figure, figures[figure]));
        }

        Assert.Equal(observations.Count(each => Is(each, "patient-complications-new-facial-weakness") && (Found(each) ?? false)), figures["harm.facial-weakness"]);
        var requests = (await AllAsync(gateway, "ServiceRequest")).Where(InMonth).ToList();
        var rules = (await AllAsync(gateway, "Condition")).Where(InMonth).SelectMany(condition => Codes(condition["code"]).Where(code => code.System == Own + "rule").Select(code => (code.Code, Visit(condition)))).Distinct().ToLookup(each => each.Code);
        Assert.NotEmpty(rules);
        foreach (var rule in rules)
        {
            // A rule that a patient declined leads to no referral, so the report can count more and never fewer.
            Assert.True(figures[$"rule.{rule.Key}"] >= rule.Count(), rule.Key);
        }

        Assert.Equal(6, new[] { "T0", "T1", "T2", "T2C", "T3", "T4" }.Count(tier => figures.ContainsKey($"tier.{tier}")));
        Assert.Equal(visits.Count, figures.Where(each => each.Key.StartsWith("tier.", StringComparison.Ordinal)).Sum(each => each.Value));
        Assert.Equal(visits.Count, figures.Where(each => each.Key.StartsWith("went.", StringComparison.Ordinal)).Sum(each => each.Value));
        Assert.Equal(requests.Count, figures.Where(each => each.Key.Contains(".arrival.", StringComparison.Ordinal)).Sum(each => each.Value));

        bool InMonth(JsonNode resource) => visits.Contains(Visit(resource));
    }

    [Fact]
    public async Task EachFigureLeadsToWhatItCounted()
    {
        await using var gateway = new RunningGateway();
        await gateway.InitializeAsync();
        foreach (var start in new[] { "01-", "05-", "09-" })
        {
            await PostAsync(gateway, JsonNode.Parse(await File.ReadAllTextAsync(Directory.GetFiles(Repository.At("examples", "encounters"), start + "*.json").Single(), Stop))!);
        }

        foreach (var (key, count) in (await FiguresAsync(gateway, "2026-03")).Where(each => each.Value > 0))
        {
            var list = await gateway.Client.GetStringAsync(new Uri($"/desk/report/list?month=2026-03&clinic=harbour-lane&figure={key}", UriKind.Relative), Stop);
            Assert.Equal((key, count), (key, list.Split("<th scope=\"row\">").Length - 1));
        }
    }

    [Theory]
    [InlineData(PersonRole.ClinicalLead, "3", 200)]
    [InlineData(PersonRole.PracticeManager, "fewer than 5", 403)]
    public async Task SmallCountsAndTheVisitsBehindThem_AreForThoseWhoTreatThePatients(string role, string shown, int list)
    {
        await using var gateway = new RunningGateway();
        await gateway.StartAsync(null, services => services.AddScoped<ISignedInPerson>(_ => new Somebody(role)));
        foreach (var start in new[] { "01-", "05-", "09-" })
        {
            await PostAsync(gateway, JsonNode.Parse(await File.ReadAllTextAsync(Directory.GetFiles(Repository.At("examples", "encounters"), start + "*.json").Single(), Stop))!);
        }

        var csv = await gateway.Client.GetStringAsync(new Uri("/desk/report?month=2026-03&handler=csv", UriKind.Relative), Stop);
        using var behind = await gateway.Client.GetAsync(new Uri("/desk/report/list?month=2026-03&clinic=harbour-lane&figure=visit.all", UriKind.Relative), Stop);

        Assert.Contains($",visit.all,visits,{shown}\r\n", csv, StringComparison.Ordinal);
        Assert.Equal(list, (int)behind.StatusCode);
    }

    private static async Task PostAsync(RunningGateway gateway, JsonNode document)
    {
        for (var attempt = 0; ; attempt++)
        {
            using var content = new StringContent(document.ToJsonString(), Encoding.UTF8, "application/json");
            using var answer = await gateway.Client.PostAsync(new Uri("/encounters", UriKind.Relative), content, Stop);
            if (answer.IsSuccessStatusCode)
            {
                return;
            }

            Assert.True((int)answer.StatusCode == 503 && attempt < 60, await answer.Content.ReadAsStringAsync(Stop));
        }
    }

    private static async Task<Dictionary<string, int>> FiguresAsync(RunningGateway gateway, string month)
    {
        var csv = await gateway.Client.GetStringAsync(new Uri($"/desk/report?month={month}&handler=csv", UriKind.Relative), Stop);
        return csv.Split("\r\n", StringSplitOptions.RemoveEmptyEntries).Skip(1).Select(line => line.Split(',')).ToDictionary(cells => cells[^3], cells => int.Parse(cells[^1], System.Globalization.CultureInfo.InvariantCulture), StringComparer.Ordinal);
    }

    private static async Task<IReadOnlyList<JsonNode>> AllAsync(RunningGateway gateway, string type)
    {
        var all = new List<JsonNode>();
        var address = $"/fhir/{type}?_lastUpdated=ge2020-01-01&_count=100";
        while (address is not null)
        {
            var bundle = JsonNode.Parse(await gateway.Client.GetStringAsync(new Uri(address, UriKind.Relative), Stop))!;
            all.AddRange((bundle["entry"]?.AsArray() ?? []).Select(entry => entry!["resource"]!));
            // Links carry the public address of the gateway, which no test server has.
            address = (string?)bundle["link"]!.AsArray().FirstOrDefault(link => (string?)link!["relation"] == "next")?["url"] is { } next ? new Uri(next).PathAndQuery : null;
        }

        return all;
    }

    private static string Visit(JsonNode resource) => ((string?)resource["encounter"]?["reference"] ?? string.Empty).Split('/')[^1];

    private static IEnumerable<(string System, string Code)> Codes(JsonNode? concept) => (concept?["coding"]?.AsArray() ?? []).Select(coding => ((string?)coding!["system"] ?? string.Empty, (string?)coding["code"] ?? string.Empty));

    private static bool Has(JsonNode? concept, string system, string code) => Codes(concept).Contains((Own + system, code));

    private static bool Is(JsonNode observation, string finding) => Codes(observation["code"]).Contains((Own + "finding", finding));

    private static bool? Found(JsonNode observation) => (bool?)observation["valueBoolean"] ?? (Codes(observation["valueCodeableConcept"]).Any() ? Codes(observation["valueCodeableConcept"]).Any(code => code.Code is "yes" or "present" or "373066001" or "52101004") : null);

    private sealed class Somebody(string role) : ISignedInPerson
    {
        public string? Name => "Somebody";

        public IReadOnlySet<string> Roles { get; } = new HashSet<string> { role };
    }
}
