using System.Diagnostics;
using System.Globalization;
using System.Text;
using EarReferral.Gateway.Hosting;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Referrals;
using Hl7.Fhir.Model;
using Microsoft.Extensions.DependencyInjection;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Benchmarks;

/// <summary>First byte and size of the list of open referrals, by HTTP, with as many open referrals as asked for (10,000).</summary>
internal static class PageFigures
{
    private const int Questions = 200, WarmUp = 20;
    private static readonly string[] Tiers = ["T0", "T1", "T2", "T2C", "T3"];

    internal static int Print(string[] arguments)
    {
        var wanted = arguments.Length > 0 ? int.Parse(arguments[0], CultureInfo.InvariantCulture) : 10_000;
        RunAsync(wanted).GetAwaiter().GetResult();
        return 0;
    }

    private static async Task RunAsync(int wanted)
    {
        var folder = Directory.CreateTempSubdirectory("ear-page-figures-");
        await using (var host = GatewayHost.Build(new HostSettings("http://127.0.0.1:0", folder.FullName, new Dictionary<string, string?>
        {
            ["environment"] = "Development",
            ["Security:LocalCaller"] = "true",
            ["Security:RequestsPerMinute"] = "1000000",
            ["Logging:LogLevel:Default"] = "None",
        })))
        {
            await host.StartAsync();
            var encounters = host.Services.GetRequiredService<EncounterStore>();
            for (var number = 1; number <= wanted; number++)
            {
                await encounters.SaveAsync(Revision(number), CancellationToken.None);
            }

            using var http = new HttpClient { BaseAddress = new Uri(host.Urls.Single()) };
            foreach (var address in new[] { "/desk/referrals", "/desk/referrals?show=urgent", "/desk/referrals?page-number=300" })
            {
                var took = new List<double>();
                long size = 0;
                for (var question = 0; question < Questions + WarmUp; question++)
                {
                    var begun = Stopwatch.GetTimestamp();
                    using var answer = await http.GetAsync(new Uri(address, UriKind.Relative), HttpCompletionOption.ResponseHeadersRead);
                    var first = Stopwatch.GetElapsedTime(begun).TotalMilliseconds;
                    size = (await answer.EnsureSuccessStatusCode().Content.ReadAsByteArrayAsync()).Length;
                    if (question >= WarmUp)
                    {
                        took.Add(first);
                    }
                }

                took.Sort();
                Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{wanted} open, {address}: first byte p50 {took[Questions / 2]:0.0} ms, p95 {took[Questions * 95 / 100]:0.0} ms, worst {took[^1]:0.0} ms, {size / 1024.0:0.0} KiB"));
            }
        }

        Microsoft.Data.Sqlite.SqliteConnection.ClearAllPools();
        folder.Delete(recursive: true);
    }

    private static EncounterRevision Revision(int number)
    {
        var at = TimeProvider.System.GetUtcNow().AddMinutes(-number);
        var (patient, tier) = (Guid.CreateVersion7(), Tiers[number % 20 < 4 ? number % 20 : 4]);
        var (referral, task, person) = (Guid.CreateVersion7().ToString(), Guid.CreateVersion7().ToString(), Guid.CreateVersion7().ToString());
        Resource[] resources =
        [
            new Patient { Id = person, Name = [new HumanName { Family = $"Figure-{number}", Given = ["Ada"] }], BirthDate = "1960-01-01" },
            new ServiceRequest { Id = referral, Status = RequestStatus.Active, Intent = RequestIntent.Order, Subject = new ResourceReference($"Patient/{person}") },
            new Hl7.Fhir.Model.Task
            {
                Id = task,
                Identifier = [new Identifier("https://ear-referral.example/identifier/resource", task)],
                Status = Hl7.Fhir.Model.Task.TaskStatus.Requested,
                Intent = Hl7.Fhir.Model.Task.TaskIntent.Order,
                Focus = new ResourceReference($"ServiceRequest/{referral}"),
                For = new ResourceReference($"Patient/{person}"),
                AuthoredOnElement = new FhirDateTime(at),
                LastModifiedElement = new FhirDateTime(at),
            },
        ];
        return new EncounterRevision(
            Guid.CreateVersion7(), "harbour-lane", string.Create(CultureInfo.InvariantCulture, $"figure-{number}"), 1, "1.0", "Europe/London", patient, null, string.Create(CultureInfo.InvariantCulture, $"{number:x64}"), "{}"u8.ToArray(), at, at,
            "triaged", tier, false, "{}"u8.ToArray(), "{}"u8.ToArray(), null, resources,
            new OutgoingReferral(referral, task, "nowhere", tier, Array.IndexOf(Tiers, tier), tier == "T3" ? null : at.AddDays(14), patient, "harbour-lane", null, Encoding.UTF8.GetBytes("{}"), "00", $"key-{number}", $"correlation-{number}", [], Hold: false),
            []);
    }
}
