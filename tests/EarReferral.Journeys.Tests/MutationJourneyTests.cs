using System.Collections.Concurrent;
using System.Globalization;
using System.Text;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using EarReferral.Journeys.Tests.Processes;
using EarReferral.Testing;

namespace EarReferral.Journeys.Tests;

public sealed partial class MutationJourneyTests
{
    /// <summary>How many; EARREFERRAL_MUTATIONS=10000 is the long run, made by hand and recorded in docs/performance.md.</summary>
    private static readonly int Mutations = int.Parse(Environment.GetEnvironmentVariable("EARREFERRAL_MUTATIONS") ?? "1000", CultureInfo.InvariantCulture);

    /// <summary>How many of them are posted; the rest is previewed, so that thousands of accepted mutants do not become referrals.</summary>
    private static readonly int Posted = Mutations / 5;

    private const int Seed = 20260331;

    [Fact]
    public async Task BrokenExamples_NeverBreakTheServerAndLeaveNothingOfTheRefused()
    {
        var stop = TestContext.Current.CancellationToken;
        await using var world = World.Unstarted();
        await world.StartGatewayAsync(stop);
        var examples = Directory.GetFiles(Repository.At("examples", "encounters"), "*.json").Order().Select(File.ReadAllText).ToList();
        var statuses = new ConcurrentDictionary<int, int>();
        var taken = new ConcurrentDictionary<int, bool>();
        var broken = new ConcurrentBag<string>();

        await Parallel.ForEachAsync(Enumerable.Range(0, Mutations), new ParallelOptions { MaxDegreeOfParallelism = 4, CancellationToken = stop }, async (number, token) =>
        {
            var document = DocumentMutation.Of(examples[number % examples.Count], number, new Random(Seed + number));
            using var body = new StringContent(document, Encoding.UTF8, "application/json");
            using var answer = await world.Http.PostAsync(new Uri(world.Gateway + (number < Posted ? "/encounters" : "/encounters/preview")), body, token);
            statuses.AddOrUpdate((int)answer.StatusCode, 1, (_, count) => count + 1);
            taken[number] = number < Posted && answer.IsSuccessStatusCode;
            if ((int)answer.StatusCode >= 500)
            {
                broken.Add($"Mutation {number} of seed {Seed}: {(int)answer.StatusCode} {await answer.Content.ReadAsStringAsync(token)}");
            }
        });

        TestContext.Current.TestOutputHelper!.WriteLine($"seed {Seed}: {string.Join(", ", statuses.OrderBy(pair => pair.Key).Select(pair => $"{pair.Value} times {pair.Key}"))}; {taken.Values.Count(stored => stored)} of {Posted} posts stored");
        Assert.True(broken.IsEmpty, string.Join('\n', broken.Take(5)));
        Assert.True(statuses.Where(pair => pair.Key is 400 or 422).Sum(pair => pair.Value) > Mutations / 2);

        // Every mutant carries a mark of its own in its free text and in the family name. Those of stored ones must be found, else
        // the search proves nothing; those of refused and of previewed ones must not have been left anywhere.
        await world.KillGatewayAsync();
        var found = Marks().Matches(await world.StoredTextAsync(stop)).Select(match => int.Parse(match.Groups[1].Value, CultureInfo.InvariantCulture)).ToHashSet();
        Assert.InRange(found.Count(number => taken[number]), Posted / 20, Posted);
        Assert.DoesNotContain(found, number => !taken[number]);
        Assert.Empty(Marks().Matches(world.GatewayOutput));
    }

    [GeneratedRegex(DocumentMutation.MarkStart + "([0-9]{5})")]
    private static partial Regex Marks();
}

/// <summary>Breaks a document in one of many ways, the same way for the same seed.</summary>
internal static class DocumentMutation
{
    private static readonly string[] Texts = ["", "x", "\u0000", "2026-02-30", "9999-99-99", "-1", "notAsked", "yes", "<script>", new string('a', 10_000), "2026-03-31T10:00:00", "\ud83d\ude00"];

    /// <summary>What the mark of every mutant begins with; five digits follow.</summary>
    public const string MarkStart = "Quillmarsh";

    public static string Of(string example, int number, Random random)
    {
        var document = JsonNode.Parse(example)!.AsObject();
        var mark = string.Create(CultureInfo.InvariantCulture, $"{MarkStart}{number:D5}");
        document["encounterId"] = $"mutant-{number}";
        document["reasonForVisit"] = mark;
        document["patient"]!["name"]!["family"] = mark;
        for (var times = random.Next(1, 4); times > 0; times--)
        {
            Break(document, random);
        }

        // The encounter number of a refused document is kept on purpose, so that the clinic can find it: no mark may have wandered there.
        if (document["encounterId"]?.ToJsonString().Contains(mark, StringComparison.Ordinal) == true)
        {
            document["encounterId"] = $"mutant-{number}";
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
