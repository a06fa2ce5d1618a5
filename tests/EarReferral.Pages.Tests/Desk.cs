using System.Text;
using System.Text.Json.Nodes;
using EarReferral.Gateway.Tests.Referrals;
using EarReferral.Testing;
using Microsoft.Playwright;

[assembly: Xunit.v3.Parallelization(Mode = Xunit.Sdk.ParallelMode.None)]
[assembly: AssemblyFixture(typeof(EarReferral.Pages.Tests.Desk))]

namespace EarReferral.Pages.Tests;

/// <summary>A running gateway with visits, and Debian's Chromium in front of it; one of each for all tests.</summary>
public sealed class Desk : IAsyncLifetime
{
    private static readonly string? Chromium = Environment.GetEnvironmentVariable("EARREFERRAL_CHROMIUM") ?? (File.Exists("/usr/bin/chromium") ? "/usr/bin/chromium" : null);
    private static readonly string? Screenshots = Environment.GetEnvironmentVariable("EARREFERRAL_SCREENSHOTS");
    private IPlaywright? playwright;
    private IBrowser? browser;
    private int number;

    internal RunningGateway Gateway { get; } = new();

    /// <summary>What the browser asked for elsewhere, and what the page's own policy stopped; both must stay empty.</summary>
    internal List<string> Foreign { get; } = [];

    internal string Base => Gateway.Client.BaseAddress!.ToString().TrimEnd('/');

    public async ValueTask InitializeAsync()
    {
        if (Chromium is null)
        {
            return;
        }

        await Gateway.InitializeAsync();
        playwright = await Playwright.CreateAsync();
        browser = await playwright.Chromium.LaunchAsync(new BrowserTypeLaunchOptions { ExecutablePath = Chromium, Args = ["--no-sandbox", "--disable-gpu"] });
        // A warm validator first, so that no test waits for it.
        await PostAsync(Example("06-"));
    }

    public async ValueTask DisposeAsync()
    {
        if (browser is not null)
        {
            await browser.DisposeAsync();
        }

        playwright?.Dispose();
        if (Chromium is not null)
        {
            await Gateway.DisposeAsync();
        }
    }

    /// <summary>Skips loudly where no browser is.</summary>
    internal static void NeedsBrowser() => Assert.SkipWhen(Chromium is null, "NOT RUN: no Chromium. Set EARREFERRAL_CHROMIUM; the gate installs one.");

    /// <summary>A fresh tab.</summary>
    internal async Task<IPage> TabAsync(int width = 1100, ColorScheme scheme = ColorScheme.Light, bool script = true, string? at = null)
    {
        NeedsBrowser();
        var context = await browser!.NewContextAsync(new BrowserNewContextOptions
        {
            BaseURL = at ?? Base,
            ViewportSize = new ViewportSize { Width = width, Height = 900 },
            ColorScheme = scheme,
            JavaScriptEnabled = script,
            ReducedMotion = ReducedMotion.Reduce,
            Locale = "en-GB",
            TimezoneId = "Europe/London",
        });
        context.SetDefaultTimeout(20_000);
        var page = await context.NewPageAsync();
        page.Request += (_, request) =>
        {
            if (!request.Url.StartsWith(at ?? Base, StringComparison.Ordinal) && !request.Url.StartsWith("data:", StringComparison.Ordinal))
            {
                Foreign.Add(request.Url);
            }
        };
        page.Console += (_, message) =>
        {
            if (message.Text.Contains("Content Security Policy", StringComparison.Ordinal))
            {
                Foreign.Add(message.Text);
            }
        };
        return page;
    }

    /// <summary>Keeps a picture where the environment asks for pictures.</summary>
    internal static async Task KeepAsync(IPage page, string name)
    {
        if (Screenshots is not null)
        {
            await page.ScreenshotAsync(new PageScreenshotOptions { Path = Path.Combine(Screenshots, name + ".png"), FullPage = true });
        }
    }

    /// <summary>An example under a visit and patient of its own.</summary>
    internal JsonObject Example(string start)
    {
        var document = JsonNode.Parse(File.ReadAllText(Directory.GetFiles(Repository.At("examples", "encounters"), start + "*.json").Single()))!.AsObject();
        document["encounterId"] = $"{(string)document["encounterId"]!}-{++number}";
        document["patient"]!["id"] = $"desk-{number}";
        return document;
    }

    /// <summary>Posts a visit; gives its receipt.</summary>
    internal async Task<JsonObject> PostAsync(JsonObject document)
    {
        for (var attempt = 0; ; attempt++)
        {
            using var content = new StringContent(document.ToJsonString(), Encoding.UTF8, "application/json");
            using var answer = await Gateway.Client.PostAsync(new Uri("/encounters", UriKind.Relative), content, TestContext.Current.CancellationToken);
            var text = await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
            if (answer.IsSuccessStatusCode)
            {
                return JsonNode.Parse(text)!.AsObject();
            }

            Assert.True((int)answer.StatusCode == 503 && attempt < 30, text);
        }
    }

    /// <summary>Posts an example; gives the id of its referral.</summary>
    internal async Task<string> ReferAsync(string example) => (string)(await PostAsync(Example(example)))["referral"]!["id"]!;
}
