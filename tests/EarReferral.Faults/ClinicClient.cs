using System.Collections.Concurrent;
using System.Text;
using System.Text.Json.Nodes;

namespace EarReferral.Faults;

/// <summary>The clinic's software: posts every visit again until the gateway has said 201, or 200 to what it already had.</summary>
internal sealed class ClinicClient(IReadOnlyList<GatewayInstance> gateways, HttpClient http, int seed)
{
    private const int Workers = 3;

    // One visit in fifty is never posted again: the software dies between its request and our answer.
    private const int AbandonedOneIn = 50;

    private int reposts;

    /// <summary>Referral id of every visit that was acknowledged, by the clinic's number of the visit.</summary>
    public ConcurrentDictionary<string, string> Acknowledged { get; } = new();

    /// <summary>Answers that neither acknowledge nor ask to come again; there should be none.</summary>
    public ConcurrentQueue<string> Refused { get; } = new();

    public int Abandoned { get; private set; }

    public int Reposts => reposts;

    /// <summary>Posts all; the callback hears how many are done.</summary>
    public async Task PostAllAsync(IReadOnlyList<JsonObject> visits, Action<int> done, CancellationToken stop)
    {
        var random = new Random(seed);
        var work = new ConcurrentQueue<(JsonObject Visit, bool Abandon, int First, int Patience)>(visits.Select(visit =>
            (visit, random.Next(AbandonedOneIn) == 0, random.Next(gateways.Count), random.Next(20, 700))));
        Abandoned = work.Count(item => item.Abandon);
        var count = 0;
        await Task.WhenAll(Enumerable.Range(0, Workers).Select(_ => Task.Run(
            async () =>
            {
                while (work.TryDequeue(out var item))
                {
                    var (visit, number) = ((JsonObject)item.Visit.DeepClone(), (string)item.Visit["encounterId"]!);
                    visit.Remove("exampleInstant");
                    await (item.Abandon ? AbandonAsync(visit, item.First, item.Patience, stop) : PostAsync(visit, number, item.First, stop));
                    done(Interlocked.Increment(ref count));
                }
            },
            stop)));
    }

    private async Task AbandonAsync(JsonObject visit, int first, int patience, CancellationToken stop)
    {
        using var cut = CancellationTokenSource.CreateLinkedTokenSource(stop);
        cut.CancelAfter(patience);
        try
        {
            using var body = Body(visit);
            using var answer = await http.PostAsync(new Uri($"{gateways[first].Address}/encounters"), body, cut.Token);
        }
        catch (Exception fault) when (fault is HttpRequestException || (fault is OperationCanceledException && !stop.IsCancellationRequested))
        {
            // Whether it was stored is what nobody knows; if it was, it must arrive.
        }
    }

    private async Task PostAsync(JsonObject visit, string number, int first, CancellationToken stop)
    {
        for (var attempt = 0; ; attempt++)
        {
            try
            {
                using var body = Body(visit);
                using var answer = await http.PostAsync(new Uri($"{gateways[(first + attempt) % gateways.Count].Address}/encounters"), body, stop);
                var text = await answer.Content.ReadAsStringAsync(stop);
                switch ((int)answer.StatusCode)
                {
                    case 200 or 201:
                        // A patient who comes again for the same reason is added to the referral that is open (decision 0029).
                        var receipt = JsonNode.Parse(text)!;
                        Acknowledged[number] = (string?)(receipt["referral"] ?? ((string?)receipt["openReferral"]?["relation"] == "adds" ? receipt["openReferral"] : null))?["id"] ?? "";
                        return;
                    case 429 or >= 500:
                        break;
                    default:
                        Refused.Enqueue($"{number}: {(int)answer.StatusCode} {text}");
                        return;
                }
            }
            catch (Exception fault) when (fault is HttpRequestException or IOException || (fault is OperationCanceledException && !stop.IsCancellationRequested))
            {
                // Killed, or too slow for our patience; the visit is posted again.
            }

            Interlocked.Increment(ref reposts);
            await Task.Delay(250, stop);
        }
    }

    private static StringContent Body(JsonObject visit) => new(visit.ToJsonString(), Encoding.UTF8, "application/json");
}
