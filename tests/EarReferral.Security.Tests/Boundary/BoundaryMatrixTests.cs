using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using EarReferral.Gateway.Fhir;
using EarReferral.Gateway.Security;
using EarReferral.Gateway.Tests.Fhir;
using EarReferral.Security.Tests.Support;
using EarReferral.Storage;
using EarReferral.Storage.Referrals;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;


namespace EarReferral.Security.Tests.Boundary;

/// <summary>
/// Kind of client × route × own and foreign, made from the routes that the gateway has, so that a new one without a rule fails here.
/// Source of what is expected: the requirement (denied read = 404 as if it did not exist; route or scope not theirs = 403; nobody = 401),
/// HL7 FHIR R4 security page on chains, includes and containers.
/// </summary>
public sealed partial class BoundaryMatrixTests(BoundaryMatrixTests.World world) : IClassFixture<BoundaryMatrixTests.World>
{
    private static readonly string[] Kinds = ["clinic", "gpPractice", "ent", "operator", "boardUser"];

    /// <summary>Routes that nobody has to be known for; written here by hand, so that opening one is a change of this test.</summary>
    private static readonly string[] Open =
    [
        "GET /health/live", "GET /health/ready", "GET /schema/encounter-v1.schema.json", "GET /openapi/v1.json", "POST /oauth/token",
        "POST /notifications/{destination}", // a shared secret of its own: TaskReconciliationTests
        "GET /fhir/metadata", "GET /fhir/.well-known/smart-configuration",
        "GET /", "GET /desk/assets/{name}", // leads to the pages; style and script of them
    ];

    private GuardedGateway Gateway => world.Gateway;

    [Fact]
    public void EveryRouteHasARule_AndNoRuleIsLeftOver()
    {
        var routes = Routes().ToList();
        var without = routes.Where(route => RouteRules.Find(route.Endpoint, route.Method) is null).Select(route => route.Name);
        var open = routes.Where(route => RouteRules.Find(route.Endpoint, route.Method) is { IsOpen: true }).Select(route => route.Name);
        var left = RouteRules.Table.Keys.Select(key => $"{key.Method} {key.Pattern}").Except(routes.Select(route => route.Name));

        Assert.Empty(without);
        Assert.Empty(left);
        Assert.Equal(Open.Order(), open.Order());
    }

    [Fact]
    public async Task NobodyKnown_Is401_OnEveryRouteThatIsNotOpen()
    {
        var wrong = new List<string>();
        foreach (var route in Routes().Where(route => !Open.Contains(route.Name)))
        {
            var (status, _) = await Gateway.SendAsync(null, new HttpMethod(route.Method), Address(route.Pattern, world.Own), Body(route), Media(route.Pattern));
            if (status != 401)
            {
                wrong.Add($"{route.Name}: {status}");
            }
        }

        Assert.Empty(wrong);
    }

    [Fact]
    public async Task KindThatARouteIsNotFor_Is403_AndKindThatItIsFor_IsNot()
    {
        var (wrong, asked) = (new List<string>(), 0);
        foreach (var route in Routes().Where(route => !Open.Contains(route.Name)))
        {
            var rule = RouteRules.Find(route.Endpoint, route.Method)!;
            foreach (var kind in Kinds)
            {
                var isFor = (rule.Kinds & world.KindOf(kind)) != 0 && !(kind == "boardUser" && rule.Scope == ScopeSet.Intake);
                // Ids that do not exist, so that nothing is changed by what is allowed.
                var (status, _) = await Gateway.SendAsync(world.Tokens[kind], new HttpMethod(route.Method), Address(route.Pattern, World.Nothing), Body(route), Media(route.Pattern));
                asked++;
                if (status == 401 || (status == 403) == isFor)
                {
                    wrong.Add($"{kind} {route.Name}: {status}");
                }
            }
        }

        Assert.Empty(wrong);
        Assert.True(asked > 300, $"only {asked} combinations");
    }

    [Fact]
    public async Task WhatIsForeign_LooksOnEveryRouteLikeWhatDoesNotExist()
    {
        var (wrong, asked) = (new List<string>(), 0);
        foreach (var route in Routes().Where(route => route.Pattern.Contains("{id", StringComparison.Ordinal) && !Open.Contains(route.Name)))
        {
            foreach (var kind in new[] { "clinic-foreign", "gpPractice-foreign", "ent-foreign", "boardUser-foreign" })
            {
                foreach (var (own, nothing) in Variants(route.Pattern))
                {
                    var foreign = await Gateway.SendAsync(world.Tokens[kind], new HttpMethod(route.Method), own, Body(route), Media(route.Pattern));
                    var missing = await Gateway.SendAsync(world.Tokens[kind], new HttpMethod(route.Method), nothing, Body(route), Media(route.Pattern));
                    asked++;
                    if (foreign.Status is >= 200 and < 400 && !IsEmptySearch(foreign.Body) || foreign.Status != missing.Status || Neutral(foreign.Body) != Neutral(missing.Body))
                    {
                        wrong.Add($"{kind} {route.Name} {own}: {foreign.Status} for {missing.Status}, {Neutral(foreign.Body)[..Math.Min(120, Neutral(foreign.Body).Length)]}");
                    }
                }
            }
        }

        Assert.Empty(wrong);
        Assert.True(asked > 200, $"only {asked} combinations");
    }

    [Fact]
    public async Task ListsAndSearches_ShowNothingForeign_AndTotalsCountNothingForeign()
    {
        var addresses = new List<string> { "/encounters", "/referrals", "/attention", "/alarms?all=true", "/quarantine" };
        addresses.AddRange(Capability.Types.Order().Select(type => $"/fhir/{type}?_lastUpdated=ge2020-01-01"));
        addresses.Add($"/fhir/Procedure?patient.identifier={Uri.EscapeDataString($"{RecordedVisits.NhsNumbers}|{world.NhsNumber}")}");
        addresses.Add($"/fhir/Patient?identifier={Uri.EscapeDataString($"{RecordedVisits.NhsNumbers}|{world.NhsNumber}")}&_revinclude=Observation:subject");
        addresses.Add("/fhir/Procedure?_lastUpdated=ge2020-01-01&_include=Procedure:subject&_summary=count");
        var leaks = new List<string>();
        foreach (var address in addresses)
        {
            foreach (var kind in new[] { "clinic-foreign", "gpPractice-foreign", "ent-foreign", "boardUser-foreign" })
            {
                var (status, body) = await Gateway.SendAsync(world.Tokens[kind], HttpMethod.Get, address);
                var isEmpty = status is 403 or 400 || (status == 200 && (IsEmptySearch(body) || JsonNode.Parse(body)!["items"] is JsonArray { Count: 0 }));
                if (!isEmpty || world.Secrets.Any(secret => !address.Contains(secret, StringComparison.Ordinal) && body.Contains(secret, StringComparison.Ordinal)))
                {
                    leaks.Add($"{kind} {address}: {status} {body[..Math.Min(200, body.Length)]}");
                }
            }
        }

        Assert.Empty(leaks);
    }

    [Fact]
    public async Task OwnReads_Answer()
    {
        foreach (var (type, id) in world.Resources)
        {
            foreach (var address in new[] { $"/fhir/{type}/{id}", $"/fhir/{type}/{id}/_history", $"/fhir/{type}/{id}/_history/1" })
            {
                Assert.Equal(200, (await Gateway.SendAsync(world.Tokens["gpPractice"], HttpMethod.Get, address)).Status);
                Assert.Equal(200, (await Gateway.SendAsync(world.Tokens["clinic"], HttpMethod.Get, address)).Status);
                Assert.Equal(type is "ServiceRequest" or "Task" ? 200 : 404, (await Gateway.SendAsync(world.Tokens["ent"], HttpMethod.Get, address)).Status);
                Assert.Equal(403, (await Gateway.SendAsync(world.Tokens["operator"], HttpMethod.Get, address)).Status);
            }
        }

        Assert.Equal(200, (await Gateway.SendAsync(world.Tokens["gpPractice"], HttpMethod.Get, $"/fhir/Composition/{world.Own["Composition"]}/$document")).Status);
        Assert.Equal(200, (await Gateway.SendAsync(world.Tokens["gpPractice"], HttpMethod.Get, $"/summaries/{world.Own["Composition"]}")).Status);
        Assert.Equal(200, (await Gateway.SendAsync(world.Tokens["operator"], HttpMethod.Get, "/referrals")).Status);
    }

    [Fact]
    public async Task ETagAndBatch_TellNothingForeign()
    {
        var patient = world.Own["Patient"];
        var batch = new JsonObject
        {
            ["resourceType"] = "Bundle",
            ["type"] = "batch",
            ["entry"] = new JsonArray(new JsonObject { ["request"] = new JsonObject { ["method"] = "GET", ["url"] = $"Patient/{patient}" } }),
        };
        var (_, body) = await Gateway.SendAsync(world.Tokens["gpPractice-foreign"], HttpMethod.Post, "/fhir", batch.ToJsonString(), "application/fhir+json");
        Assert.Equal("404", (string?)JsonNode.Parse(body)!["entry"]![0]!["response"]!["status"]);

        using var conditional = new HttpRequestMessage(HttpMethod.Get, new Uri($"/fhir/Patient/{patient}", UriKind.Relative));
        conditional.Headers.Authorization = new("Bearer", world.Tokens["gpPractice-foreign"]);
        conditional.Headers.TryAddWithoutValidation("If-None-Match", "W/\"1\"");
        using var answer = await Gateway.Http.SendAsync(conditional, TestContext.Current.CancellationToken);
        Assert.Equal(404, (int)answer.StatusCode);
    }

    [Fact]
    public async Task ScopesHoldInBatchesAndForWhatComesAlong()
    {
        var token = world.Tokens["gp-narrow"];
        var (_, included) = await Gateway.SendAsync(token, HttpMethod.Get, "/fhir/Procedure?_lastUpdated=ge2020-01-01&_include=Procedure:subject");
        var types = JsonNode.Parse(included)!["entry"]!.AsArray().Select(entry => (string?)entry!["resource"]!["resourceType"]).Distinct();
        var batch = """{"resourceType":"Bundle","type":"batch","entry":[{"request":{"method":"GET","url":"Observation?_lastUpdated=ge2020-01-01"}}]}""";
        var (_, answered) = await Gateway.SendAsync(token, HttpMethod.Post, "/fhir", batch, "application/fhir+json");

        Assert.Equal(["Procedure"], types);
        Assert.Equal("403", (string?)JsonNode.Parse(answered)!["entry"]![0]!["response"]!["status"]);
        Assert.Equal(403, (await Gateway.SendAsync(token, HttpMethod.Get, $"/fhir/Patient/{world.Own["Patient"]}/$everything")).Status);
    }

    [Fact]
    public async Task ClinicPostsForItselfOnly()
    {
        var document = RecordedVisits.Example("06-").ToJsonString();

        Assert.Equal(403, (await Gateway.SendAsync(world.Tokens["clinic-foreign"], HttpMethod.Post, "/encounters", document)).Status);
        Assert.Equal(403, (await Gateway.SendAsync(world.Tokens["clinic-foreign"], HttpMethod.Post, "/encounters/preview", document)).Status);
    }

    private IEnumerable<(string Method, string Pattern, RouteEndpoint Endpoint, string Name)> Routes() =>
        Gateway.Gateway.Get<EndpointDataSource>().Endpoints.OfType<RouteEndpoint>()
            .SelectMany(endpoint => (endpoint.Metadata.GetMetadata<HttpMethodMetadata>()?.HttpMethods ?? ["GET"]).Where(method => method != "HEAD")
                .Select(method => (method, RouteRules.Pattern(endpoint), endpoint, $"{method} {RouteRules.Pattern(endpoint)}")));

    private static string Address(string pattern, IReadOnlyDictionary<string, string> ids) => Fill(pattern, "Patient", ids);

    /// <summary>The address of something own and of the same that does not exist; for a route over all FHIR types one pair for each type.</summary>
    private IEnumerable<(string Own, string Nothing)> Variants(string pattern) =>
        pattern.Contains("{type}", StringComparison.Ordinal)
            ? world.Resources.Select(each => (Fill(pattern, each.Type, new Dictionary<string, string>(world.Own) { [each.Type] = each.Id }), Fill(pattern, each.Type, World.Nothing)))
            : [(Fill(pattern, "Patient", world.Own), Fill(pattern, "Patient", World.Nothing))];

    private static string Fill(string pattern, string type, IReadOnlyDictionary<string, string> ids)
    {
        var of = pattern.StartsWith("/encounters", StringComparison.Ordinal) || pattern.StartsWith("/quarantine", StringComparison.Ordinal) ? "key"
            : pattern.StartsWith("/referrals", StringComparison.Ordinal) ? "ServiceRequest"
            : pattern.StartsWith("/summaries", StringComparison.Ordinal) || pattern.Contains("$document", StringComparison.Ordinal) ? "Composition"
            : pattern.StartsWith("/fhir/Encounter", StringComparison.Ordinal) ? "Encounter"
            : pattern.StartsWith("/fhir/Task", StringComparison.Ordinal) ? "Task"
            : pattern.Contains("{type}", StringComparison.Ordinal) ? type
            : "Patient";
        return Parameter().Replace(pattern, match => match.Groups[1].Value switch
        {
            "type" => type,
            "version" => "1",
            "member" => "Observation",
            "name" => "nowhere",
            _ => ids.GetValueOrDefault(of) ?? World.Nothing["key"],
        });
    }

    private static string? Body((string Method, string Pattern, RouteEndpoint Endpoint, string Name) route) =>
        route.Method is "GET" ? null : route.Pattern.Contains('$', StringComparison.Ordinal) && !route.Pattern.Contains("$validate", StringComparison.Ordinal)
            ? """{"resourceType":"Parameters"}""" : route.Pattern.EndsWith("_search", StringComparison.Ordinal) ? "_lastUpdated=ge2020-01-01" : "{}";

    private static string Media(string pattern) =>
        pattern.EndsWith("_search", StringComparison.Ordinal) ? "application/x-www-form-urlencoded" : pattern.StartsWith("/fhir", StringComparison.Ordinal) ? "application/fhir+json" : "application/json";

    private static bool IsEmptySearch(string body) =>
        body.StartsWith('{') && JsonNode.Parse(body) is JsonObject bundle && (string?)bundle["resourceType"] == "Bundle" && bundle["entry"] is null && ((int?)bundle["total"] ?? 0) == 0;

    /// <summary>An answer without what differs from request to request: ids, times, trace numbers.</summary>
    private static string Neutral(string body) => Changing().Replace(body, "#");

    [GeneratedRegex(@"\{(\w+)(:\w+)?\}")]
    private static partial Regex Parameter();

    [GeneratedRegex(@"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}|\d{4}-\d\d-\d\dT[0-9:.+Z-]+|""traceId"":""[^""]*""|0H[0-9A-Z]+:\d+|_cursor=[^""]+")]
    private static partial Regex Changing();

    /// <summary>The guarded gateway with one visit of its clinic, for a patient of its practice, referred to its ENT system.</summary>
    public sealed class World : IAsyncLifetime
    {
        internal static readonly IReadOnlyDictionary<string, string> Nothing = new Dictionary<string, string>(
            Capability.Types.Append("key").Select(type => KeyValuePair.Create(type, "7b1d3c52-0000-4000-8000-3f2a9c1e0d44")));

        internal GuardedGateway Gateway { get; } = new();

        internal Dictionary<string, string> Tokens { get; } = [];

        internal Dictionary<string, string> Own { get; } = [];

        internal List<(string Type, string Id)> Resources { get; } = [];

        internal string NhsNumber { get; private set; } = "";

        /// <summary>Words of the visit that no foreign answer may hold.</summary>
        internal List<string> Secrets { get; } = [];

        public async ValueTask InitializeAsync()
        {
            await Gateway.InitializeAsync();
            foreach (var client in GuardedGateway.Clients)
            {
                Tokens[client.Id] = await Gateway.TokenAsync(client.Id);
            }

            var document = RecordedVisits.Example("09-");
            NhsNumber = ((string)document["patient"]!["nhsNumber"]!["value"]!).Replace(" ", "", StringComparison.Ordinal);
            var receipt = await Gateway.PostAsync(Tokens["clinic"], document);
            Own["key"] = new Uri((string)receipt["encounter"]!).Segments[^1];
            Own["ServiceRequest"] = (string)receipt["referral"]!["id"]!;
            Own["Composition"] = ((string)receipt["summary"]!).Split('/')[^2];
            Secrets.AddRange([NhsNumber, Own["key"], Own["ServiceRequest"], (string)document["encounterId"]!]);
            var stop = TestContext.Current.CancellationToken;
            foreach (var type in Capability.Types)
            {
                var (status, body) = await Gateway.SendAsync(Tokens["clinic"], HttpMethod.Get, $"/fhir/{type}?_lastUpdated=ge2020-01-01&_count=1");
                if (status == 200 && JsonNode.Parse(body)!["entry"]?[0]?["resource"]?["id"] is { } id)
                {
                    Own.TryAdd(type, (string)id!);
                    Resources.Add((type, (string)id!));
                }
            }

            Own["Task"] = (await Gateway.Gateway.Get<ReferralStore>().FindAsync(new Reach.Everything("test"), Own["ServiceRequest"], stop))!.TaskId;
            Resources.RemoveAll(each => each.Type is "Organization" or "Practitioner" or "PractitionerRole");
        }

        public async ValueTask DisposeAsync() => await Gateway.DisposeAsync();

        internal CallerKinds KindOf(string kind) => RegisteredClient.Read(kind, new ClientOptions
        {
            Kind = kind,
            Of = kind == "operator" ? null : "any",
            Scopes = "operations",
            KeysFile = Gateway.KeysFile,
        }).Kind;
    }
}
