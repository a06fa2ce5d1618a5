using System.Text;
using System.Text.Json;
using System.Text.Json.Nodes;
using EarReferral.Encounters.Reading;
using EarReferral.Encounters.Tests.Fixtures;

namespace EarReferral.Encounters.Tests.Reading;

/// <summary>Ten thousand damaged documents from a fixed seed: none may stop the reader, be both accepted and faulted, be read other than by System.Text.Json, or be salvaged with two ears of one side.</summary>
public sealed class MutationTests
{
    private const int Mutations = 10_000;
    private const int Seed = 20260312;

    private static readonly string[] Values =
    [
        "null", "true", "0", "-1", "1e400", "99999999999999999999", "1.5", "\"\"", "\" \"", "\"yes\"", "\"no\"", "\"notAsked\"", "\"present\"", "\"2026-02-30\"", "\"2026\"", "\"0000\"", "\"9999-12-31\"",
        "\"2026-03-12T10:00:00Z\"", "\"2026-03-12T10:00:00\"", "\"2199-12-31T23:59:59-14:00\"", "\"1900-01-01T00:00:00+14:00\"", "\"\\ud800\"", "\"\\u0000\"", "[]", "{}", "[null]", "[{}]", "{\"a\":{}}",
    ];

    [Fact]
    public void Damaged_documents_are_either_read_or_refused_and_never_stop_the_reader()
    {
        string[] documents = [Fixture.Finished, Fixture.InProgress, .. Fixture.Examples];
        var accepted = 0;
        var salvaged = 0;
        var twoEars = 0;

        // Every mutation has a generator of its own, so that one can be repeated alone and all can run side by side.
        Parallel.For(0, Mutations, new ParallelOptions { CancellationToken = TestContext.Current.CancellationToken }, i =>
        {
            var document = Damage(documents[i % documents.Length], new Random(Seed + i));
            try
            {
                var reading = EncounterReader.Read(document, Fixture.TestNumbers);
                Assert.Equal(reading.Encounter is null, reading.Problems.Count > 0);
                if (reading.Encounter is { } encounter)
                {
                    Interlocked.Increment(ref accepted);
                    Assert.Equal(LibraryReading.Write(LibraryReading.Read(JsonDocument.Parse(document).RootElement)), LibraryReading.Write(encounter));
                }

                // A refused document is salvaged with its own problems, and once in a while with those of another one.
                var facts = ReadableFacts.From(document, i % 7 == 0 ? [new EncounterProblem("drum.sign-without-view", "/ears/0/before/x/-1", "x")] : reading.Problems);
                Assert.True(reading.Encounter is null || facts is not null);
                if (facts is not null)
                {
                    Interlocked.Increment(ref salvaged);
                    Interlocked.Add(ref twoEars, facts.Ears.Count == 2 ? 1 : 0);
                    Assert.Equal(facts.Ears.Count, facts.Ears.Select(ear => ear.Side).Distinct().Count());
                }
            }
            catch (Exception exception)
            {
                throw new InvalidOperationException($"Mutation {i} of seed {Seed}:\n{Encoding.UTF8.GetString(document)}", exception);
            }
        });

        // Both outcomes must occur, else the damage proves nothing.
        Assert.InRange(accepted, 50, Mutations / 2);
        Assert.InRange(salvaged, Mutations / 4, Mutations - 1);
        Assert.InRange(twoEars, Mutations / 10, salvaged);
    }

    private static byte[] Damage(string document, Random random)
    {
        if (random.Next(3) == 0)
        {
            return DamageBytes(Encoding.UTF8.GetBytes(document), random);
        }

        var tree = JsonNode.Parse(document)!;
        for (var times = random.Next(1, 4); times > 0; times--)
        {
            DamageTree(tree, random);
        }

        if (random.Next(10) == 0 && tree["ears"] is JsonArray { Count: > 0 } ears)
        {
            ears.Add(ears[random.Next(ears.Count)]?.DeepClone());
        }

        // Values that the tree cannot hold, such as 1e400, are put in as text.
        return Encoding.UTF8.GetBytes(tree.ToJsonString().Replace("\"@raw@\"", Values[random.Next(Values.Length)], StringComparison.Ordinal));
    }

    private static void DamageTree(JsonNode tree, Random random)
    {
        var places = new List<JsonNode>();
        Collect(tree, places);
        switch (places[random.Next(places.Count)])
        {
            case JsonObject { Count: > 0 } members:
                var name = members.ElementAt(random.Next(members.Count)).Key;
                switch (random.Next(4))
                {
                    case 0:
                        members.Remove(name);
                        break;
                    case 1:
                        members[name] = "@raw@";
                        break;
                    case 2:
                        members[name + (random.Next(2) == 0 ? "x" : new string('x', 80))] = "@raw@";
                        break;
                    default:
                        var other = places.OfType<JsonObject>().ElementAt(random.Next(places.OfType<JsonObject>().Count()));
                        members[name] = other.DeepClone();
                        break;
                }

                break;
            case JsonArray { Count: > 0 } items when random.Next(2) == 0:
                items.RemoveAt(random.Next(items.Count));
                break;
            case JsonArray items:
                items.Add(items.Count > 0 && random.Next(2) == 0 ? items[0]?.DeepClone() : "@raw@");
                break;
        }
    }

    private static void Collect(JsonNode? node, List<JsonNode> places)
    {
        if (node is JsonObject members)
        {
            places.Add(members);
            foreach (var (_, child) in members)
            {
                Collect(child, places);
            }
        }
        else if (node is JsonArray items)
        {
            places.Add(items);
            foreach (var child in items)
            {
                Collect(child, places);
            }
        }
    }

    private static byte[] DamageBytes(byte[] bytes, Random random)
    {
        switch (random.Next(4))
        {
            case 0:
                return bytes[..random.Next(bytes.Length)];
            case 1:
                bytes[random.Next(bytes.Length)] = (byte)random.Next(256);
                return bytes;
            case 2:
                var at = random.Next(bytes.Length);
                return [.. bytes[..at], .. bytes[random.Next(bytes.Length)..], .. bytes[at..]];
            default:
                var start = random.Next(bytes.Length);
                var end = Math.Min(bytes.Length, start + random.Next(40));
                return [.. bytes[..start], .. bytes[end..]];
        }
    }
}
