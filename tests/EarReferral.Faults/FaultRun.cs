using System.Diagnostics;
using System.Net;
using System.Net.Http.Json;
using System.Net.Sockets;
using System.Text.Json.Nodes;
using Npgsql;

namespace EarReferral.Faults;

/// <summary>One whole run: clinic, gateways, receiver, killer, verdict.</summary>
internal sealed class FaultRun(RunSettings settings, string folder, TextWriter report) : IAsyncDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(5);

    private readonly HttpClient http = new() { Timeout = TimeSpan.FromSeconds(60) };
    private readonly List<GatewayInstance> gateways = [];
    private readonly List<string> kills = [];
    private readonly HashSet<string> replayed = [];
    private readonly long begun = Stopwatch.GetTimestamp();
    private ProgramProcess? receiver;

    private string ReceiverFolder => Path.Combine(folder, "ent");

    /// <summary>Runs it; true when nothing was lost, doubled or left out.</summary>
    public async Task<bool> RunAsync(CancellationToken stop)
    {
        var sandbox = $"http://127.0.0.1:{FreePort()}";
        receiver = ProgramProcess.Start(
            "EarReferral.Sandbox", ["--urls", sandbox, "--data", ReceiverFolder, "--acknowledge-after", "never", "--accept-after", "never", "--create-gap", settings.CreateGap],
            new Dictionary<string, string> { ["Logging__LogLevel__Default"] = "Error" }, Path.Combine(folder, "ent.log"));
        await receiver.AnswersAsync(http, new Uri($"{sandbox}/fhir/metadata"), stop);
        using (var answer = await http.PostAsJsonAsync(new Uri($"{sandbox}/sandbox/faults"), new { mode = "mix", rate = settings.Rate, seed = settings.Seed, delayMs = 3000, searches = true }, stop))
        {
            answer.EnsureSuccessStatusCode();
        }

        var postgres = settings.Postgres is null ? null : await DatabaseAsync(settings.Postgres);
        for (var number = 1; number <= settings.Instances; number++)
        {
            gateways.Add(new GatewayInstance(number, FreePort(), folder, Environment(postgres, sandbox), http));
        }

        // All at once, on an empty store: whoever comes second must find it migrated or wait.
        gateways.ForEach(gateway => gateway.Launch());
        await Task.WhenAll(gateways.Select(gateway => gateway.ReadyAsync(stop)));
        report.WriteLine($"seed {settings.Seed}; {settings.Encounters} encounters; {settings.Kills} kills; {settings.Instances} instance(s) on {(postgres is null ? "SQLite" : "PostgreSQL")}; {settings.Rate:P0} of calls fail; create gap {settings.CreateGap}");

        var clinic = new ClinicClient(gateways, http, settings.Seed);
        var visits = new Visits(settings.Seed).Make(settings.Encounters);
        var suspension = new Suspension(gateways, new GatewayStore(postgres, Path.Combine(folder, "gateway")), report);
        var suspending = SuspendAsync(suspension, stop);
        var posted = await PostAndKillAsync(clinic, visits, stop);
        await suspending;
        report.WriteLine($"posted after {posted.TotalSeconds:0} s: {clinic.Acknowledged.Count} acknowledged, {clinic.Abandoned} abandoned without waiting for the answer, {clinic.Reposts} reposts");
        report.WriteLine($"kills: {string.Join("; ", kills)}");

        var store = new GatewayStore(postgres, Path.Combine(folder, "gateway"));
        var drained = await DrainAsync(store, stop);
        report.WriteLine($"drained after {Elapsed():0} s: {string.Join(", ", drained.Select(pair => $"{pair.Key} {pair.Value}"))}; a person asked for another send {replayed.Count} time(s)");
        var isGood = await JudgeAsync(clinic, store, sandbox, drained, stop);
        if (settings.Suspensions > 0)
        {
            report.WriteLine($"take-over after a suspension: {suspension.Longest?.ToString("0.0", System.Globalization.CultureInfo.InvariantCulture) ?? "not shown, no stop met a send"} s at most; wanted 20 s");
        }

        return isGood && (settings.Suspensions == 0 || suspension.Longest is <= 20);
    }

    public async ValueTask DisposeAsync()
    {
        foreach (var gateway in gateways)
        {
            await gateway.DisposeAsync();
        }

        if (receiver is not null)
        {
            await receiver.DisposeAsync();
        }

        http.Dispose();
    }

    private double Elapsed() => Stopwatch.GetElapsedTime(begun).TotalSeconds;

    private async Task SuspendAsync(Suspension suspension, CancellationToken stop)
    {
        for (var turn = 0; turn < settings.Suspensions; turn++)
        {
            await suspension.RunAsync(turn, stop);
            await Task.Delay(3000, stop);
        }
    }

    private async Task<TimeSpan> PostAndKillAsync(ClinicClient clinic, IReadOnlyList<JsonObject> visits, CancellationToken stop)
    {
        var random = new Random(settings.Seed + 1);
        var points = new Queue<(int Visits, int WaitMs, int Gateway)>(Enumerable.Range(0, settings.Kills)
            .Select(_ => (Visits: random.Next(1, visits.Count + 1), WaitMs: random.Next(1000), Gateway: random.Next(gateways.Count)))
            .OrderBy(point => point.Visits));
        var done = 0;
        var start = Stopwatch.GetTimestamp();
        var posting = clinic.PostAllAsync(visits, count => Volatile.Write(ref done, Math.Max(count, Volatile.Read(ref done))), stop);
        while (points.TryDequeue(out var point))
        {
            while (Volatile.Read(ref done) < point.Visits && !posting.IsCompleted)
            {
                await Task.Delay(20, stop);
            }

            await Task.Delay(point.WaitMs, stop);
            await gateways[point.Gateway].KillAndLaunchAsync();
            kills.Add($"#{gateways[point.Gateway].Number} at {Volatile.Read(ref done)} ({Elapsed():0.0} s)");
        }

        await posting;
        return Stopwatch.GetElapsedTime(start);
    }

    /// <summary>Waits until nothing waits any more. What the gateway gives to a person is sent again once, as that person would.</summary>
    private async Task<IReadOnlyDictionary<string, int>> DrainAsync(GatewayStore store, CancellationToken stop)
    {
        await Task.WhenAll(gateways.Select(gateway => gateway.ReadyAsync(stop)));
        var (last, changed) = (-1, Stopwatch.GetTimestamp());
        while (true)
        {
            var states = await store.StatesAsync();
            foreach (var id in await store.NeedPersonAsync())
            {
                if (replayed.Add(id))
                {
                    using var answer = await http.PostAsync(new Uri($"{gateways[0].Address}/referrals/{id}/replay"), null, stop);
                    report.WriteLine($"replay of {id}: {(answer.StatusCode is HttpStatusCode.OK or HttpStatusCode.NoContent or HttpStatusCode.Accepted ? "taken" : answer.StatusCode)}");
                }
            }

            var open = states.Where(pair => pair.Key is not "Delivered").Sum(pair => pair.Value);
            (last, changed) = open == last ? (last, changed) : (open, Stopwatch.GetTimestamp());
            if (open == 0 || Stopwatch.GetElapsedTime(changed) > Patience)
            {
                return states;
            }

            await Task.Delay(1000, stop);
        }
    }

    private async Task<bool> JudgeAsync(ClinicClient clinic, GatewayStore store, string sandbox, IReadOnlyDictionary<string, int> drained, CancellationToken stop)
    {
        // The receiver may still be working on what a sender has given up.
        await Task.Delay(TimeSpan.FromSeconds(4), stop);
        var faults = (await http.GetFromJsonAsync<JsonObject>(new Uri($"{sandbox}/sandbox/faults"), stop))!;
        await receiver!.DisposeAsync();
        var received = ReceiverFile.Created(Path.Combine(ReceiverFolder, "received.jsonl"));
        var stored = await store.ExpectedAsync();
        var attempts = await store.AttemptsAsync();
        var problems = new List<string>(Verdict.Problems(clinic.Acknowledged, stored, received, await store.TimelinesAsync(), attempts));
        problems.AddRange(clinic.Refused.Select(refused => $"refused: {refused}"));
        problems.AddRange(drained.Where(pair => pair.Key != "Delivered").Select(pair => $"{pair.Value} referrals are {pair.Key}"));

        report.WriteLine($"calls that went unharmed and faults per class (transactions + searches): {string.Join(", ", faults.Select(pair => $"{pair.Key} {(int)pair.Value!["transactions"]!}+{(int)pair.Value["searches"]!}"))}");
        string[] classes = ["Status503", "RetryAfter429", "ResetAfterAccept", "Late", "Garbage200", "HalfAnswer"];
        problems.AddRange(classes
            .Where(name => ((int?)faults[name]?["transactions"] ?? 0) < settings.Least)
            .Select(name => $"{name} struck fewer than {settings.Least} transactions, so the run shows too little"));
        var counts = attempts.Values.Select(list => list.Count).Order().ToList();
        report.WriteLine($"attempts per referral: {string.Join(", ", counts.CountBy(count => count).OrderBy(pair => pair.Key).Select(pair => $"{pair.Key}: {pair.Value}"))}; most {counts.LastOrDefault()}, mean {(counts.Count == 0 ? 0 : counts.Average()):0.00}");
        report.WriteLine($"how attempts ended: {string.Join(", ", attempts.Values.SelectMany(list => list).CountBy(word => word).OrderByDescending(pair => pair.Value).Select(pair => $"{pair.Key} {pair.Value}"))}");
        report.WriteLine($"stored referrals {stored.Count}, of them never acknowledged {stored.Keys.Except(clinic.Acknowledged.Values).Count()}");
        report.WriteLine($"at the receiver: {string.Join(", ", received.GroupBy(pair => pair.Key.Split(' ')[0]).OrderBy(group => group.Key).Select(group => $"{group.Key} {group.Sum(pair => pair.Value)}"))}");
        foreach (var problem in problems.Take(40))
        {
            report.WriteLine($"PROBLEM {problem}");
        }

        report.WriteLine($"verdict: {(problems.Count == 0 ? "every acknowledged referral is there exactly once" : $"FAILED, {problems.Count} problems")} ({Elapsed():0} s)");
        return problems.Count == 0;
    }

    private static Dictionary<string, string> Environment(string? postgres, string sandbox)
    {
        var environment = new Dictionary<string, string>
        {
            ["ASPNETCORE_ENVIRONMENT"] = "Development",
            ["Security__LocalCaller"] = "true",
            ["Gateway__AllowTestNhsNumbers"] = "true",
            ["Clinics__harbour-lane__Name"] = "Harbour Lane Ear Care",
            ["Clinics__harbour-lane__EntDestination"] = "westerquay-ent",
            ["Delivery__Destinations__westerquay-ent__Name"] = "Westerquay General, ENT department",
            ["Delivery__Destinations__westerquay-ent__OdsCode"] = "WQG07",
            ["Delivery__Destinations__westerquay-ent__Phone"] = "01632 960 107",
            ["Delivery__Destinations__westerquay-ent__BaseUrl"] = $"{sandbox}/fhir",
            ["Delivery__Destinations__westerquay-ent__AttemptTimeout"] = "00:00:02",
        };
        if (postgres is not null)
        {
            environment["Storage__Provider"] = "PostgreSql";
            environment["Storage__ConnectionString"] = postgres;
        }

        return environment;
    }

    private static async Task<string> DatabaseAsync(string server)
    {
        var name = $"ear_faults_{Guid.NewGuid():N}";
        await using var connection = new NpgsqlConnection(server);
        await connection.OpenAsync();
        await using var command = connection.CreateCommand();
#pragma warning disable CA2100 // The name is made two lines above.
        command.CommandText = $"CREATE DATABASE {name}";
#pragma warning restore CA2100
        await command.ExecuteNonQueryAsync();
        return new NpgsqlConnectionStringBuilder(server) { Database = name, MaxPoolSize = 20 }.ConnectionString;
    }

    private static int FreePort()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        return ((IPEndPoint)listener.LocalEndpoint).Port;
    }
}
