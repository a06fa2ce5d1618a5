using System.Net.Http.Json;
using System.Text;
using System.Text.Json.Nodes;
using EarReferral.Journeys.Tests.Processes;
using EarReferral.Testing;

namespace EarReferral.Journeys.Tests;

public sealed class MutationJourneyTests
{
    private const int Mutations = 10_000;
    private const int Seed = 20260331;

    [Fact]
    public async Task TenThousandBrokenExamples_NeverBreakTheServerAndLeaveNothingClinicalWhenRefused()
    {
        var stop = TestContext.Current.CancellationToken;
        await using var world = await World.StartAsync(stop, acknowledgeAfter: "never");
        var examples = Directory.GetFiles(Repository.At("examples", "encounters"), "*.json").Order().Select(File.ReadAllText).ToList();
        var random = new Random(Seed);
        var documents = Enumerable.Range(0, Mutations).Select(number => DocumentMutation.Of(examples[random.Next(examples.Count)], number, random)).ToList();
        var statuses = new System.Collections.Concurrent.ConcurrentDictionary<int, int>();
        var broken = new System.Collections.Concurrent.ConcurrentBag<string>();

        // Preview runs everything but the store, so that thousands of accepted mutants do not become referrals.
        await Parallel.ForEachAsync(documents, new ParallelOptions { MaxDegreeOfParallelism = 4, CancellationToken = stop }, async (document, token) =>
        {
            using var body = new StringContent(document, Encoding.UTF8, "application/json");
            using var answer = await world.Http.PostAsync(new Uri($"{world.Gateway}/encounters/preview"), body, token);
            statuses.AddOrUpdate((int)answer.StatusCode, 1, (_, count) => count + 1);
            if ((int)answer.StatusCode >= 500)
            {
                broken.Add($"{(int)answer.StatusCode}: {document[..Math.Min(200, document.Length)]}");
            }
        });
        var refused = 0;
        foreach (var document in documents.Take(1_000))
        {
            using var body = new StringContent(document, Encoding.UTF8, "application/json");
            using var answer = await world.Http.PostAsync(new Uri($"{world.Gateway}/encounters"), body, stop);
            Assert.True((int)answer.StatusCode < 500, document);
            refused += answer.IsSuccessStatusCode ? 0 : 1;
        }

        TestContext.Current.TestOutputHelper!.WriteLine($"seed {Seed}: {string.Join(", ", statuses.OrderBy(pair => pair.Key).Select(pair => $"{pair.Value} times {pair.Key}"))}; {refused} of 1000 posts refused");
        Assert.Empty(broken);
        Assert.True(statuses.Where(pair => pair.Key is 400 or 422).Sum(pair => pair.Value) > Mutations / 2);
        Assert.True(refused > 0);
        await AssertNothingRefusedIsStoredAsync(world, stop);
    }

    /// <summary>Every mutant carries a mark in its free text; a refused one must not have left it anywhere in the folder.</summary>
    private static async Task AssertNothingRefusedIsStoredAsync(World world, CancellationToken stop)
    {
        const string mark = "MARK-OF-A-REFUSED-DOCUMENT";
        var document = World.Example("01-");
        document["reasonForVisit"] = mark;
        document["patient"]!["name"]!["family"] = mark;
        document["ears"]![0]!["side"] = "upper";
        using var answer = await world.Http.PostAsJsonAsync(new Uri($"{world.Gateway}/encounters"), document, stop);
        Assert.Equal(422, (int)answer.StatusCode);

        await world.KillGatewayAsync();
        foreach (var file in Directory.GetFiles(world.DataFolder, "*", SearchOption.AllDirectories))
        {
            Assert.DoesNotContain(mark, Encoding.UTF8.GetString(await File.ReadAllBytesAsync(file, stop)), StringComparison.Ordinal);
        }

        Assert.DoesNotContain(mark, world.GatewayOutput, StringComparison.Ordinal);
    }
}

/// <summary>Breaks a document in one of many ways, the same way for the same seed.</summary>
internal static class DocumentMutation
{
    private static readonly string[] Texts = ["", "x", "\u0000", "2026-02-30", "9999-99-99", "-1", "notAsked", "yes", "<script>", new string('a', 10_000), "2026-03-31T10:00:00", "\ud83d\ude00"];

    public static string Of(string example, int number, Random random)
    {
        var document = JsonNode.Parse(example)!.AsObject();
        document["encounterId"] = $"mutant-{number}";
        for (var times = random.Next(1, 4); times > 0; times--)
        {
            Break(document, random);
        }

        var text = document.ToJsonString();
        return random.Next(12) switch
        {
            0 => text[..random.Next(text.Length)],
            1 => text.Insert(random.Next(text.Length), "\"status\":\"finished\","),
            2 => text.Replace(':', random.Next(2) == 0 ? ';' : ':'),
            _ => text,
        };
    }

    private static void Break(JsonObject root, Random random)
    {
        var places = Places(root).ToList();
        var (parent, key) = places[random.Next(places.Count)];
        JsonNode? value = random.Next(9) switch
        {
            0 => null,
            1 => JsonValue.Create(random.Next(-5, 100_000)),
            2 => JsonValue.Create(random.Next(2) == 0),
            3 => new JsonObject(),
            4 => new JsonArray(),
            5 => JsonValue.Create(1e300),
            6 => places[random.Next(places.Count)] is var (other, name) ? Value(other, name)?.DeepClone() : null,
            _ => JsonValue.Create(Texts[random.Next(Texts.Length)]),
        };
        switch (parent)
        {
            case JsonObject members when random.Next(4) == 0:
                members.Remove((string)key);
                break;
            case JsonObject members when random.Next(6) == 0:
                members[$"{key}x"] = value;
                break;
            case JsonObject members:
                members[(string)key] = value;
                break;
            case JsonArray items when random.Next(4) == 0:
                items.RemoveAt((int)key);
                break;
            case JsonArray items:
                items[(int)key] = value;
                break;
        }
    }

    private static JsonNode? Value(JsonNode parent, object key) => parent is JsonObject members ? members[(string)key] : parent.AsArray()[(int)key];

    private static IEnumerable<(JsonNode Parent, object Key)> Places(JsonNode node) => node switch
    {
        JsonObject members => members.SelectMany(member => (member.Value is null ? [] : Places(member.Value)).Prepend((members, member.Key))),
        JsonArray items => items.SelectMany((item, index) => (item is null ? [] : Places(item)).Prepend((items, index))),
        _ => [],
    };
}
