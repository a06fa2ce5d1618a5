using System.Text.Json;
using EarReferral.Storage;
using EarReferral.Storage.Encounters;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace EarReferral.Pages.Tests;

/// <summary>The integrator's path.</summary>
public sealed class BenchTests(Desk desk)
{
    [Fact]
    public async Task ProblemStandsUnderItsLine_AndRedFlagOfARefusedDocumentIsShown()
    {
        Desk.NeedsBrowser();
        var document = desk.Example("09-");
        document["patient"]!["gender"] = "unsure";
        var text = document.ToJsonString(new JsonSerializerOptions { WriteIndented = true });
        var line = Array.FindIndex(text.Split('\n'), each => each.Contains("\"gender\": \"unsure\"", StringComparison.Ordinal)) + 1;
        var page = await desk.TabAsync();
        await page.GotoAsync("/desk/bench");
        await page.FillAsync("#document", text);
        await page.GetByRole(AriaRole.Button, new() { Name = "Try it" }).ClickAsync();

        await Expect(page.Locator($".document li:nth-child({line}) .remark")).ToContainTextAsync($"Line {line}:");
        await Expect(page.Locator("#decision")).ToContainTextAsync("T1");
        await Expect(page.GetByText("Of what could be read")).ToBeVisibleAsync();
        await Desk.KeepAsync(page, "bench-problem");
    }

    [Fact]
    public async Task Example_ShowsDecisionCheckAndBundle_AndStoresNothing()
    {
        Desk.NeedsBrowser();
        var before = await CountAsync();
        var page = await desk.TabAsync(script: false);
        await page.GotoAsync("/desk/bench");
        await page.SelectOptionAsync("#example", "09-sudden-loss-12-days");
        await page.GetByRole(AriaRole.Button, new() { Name = "Take the example" }).ClickAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Try it" }).ClickAsync();

        await Expect(page.Locator("#decision")).ToContainTextAsync("T1");
        await Expect(page.Locator("#check")).ToContainTextAsync("meets our profiles");
        await Expect(page.Locator("#sent")).ToContainTextAsync("Westerquay General");
        await page.GetByText("The bundle", new() { Exact = true }).ClickAsync();
        await Expect(page.Locator("pre").First).ToContainTextAsync("\"type\": \"transaction\"");
        Assert.Equal(before, await CountAsync());
    }

    [Fact]
    public async Task File_IsTakenBeforeTheText()
    {
        Desk.NeedsBrowser();
        var page = await desk.TabAsync();
        await page.GotoAsync("/desk/bench");
        await page.FillAsync("#document", "{}");
        await page.SetInputFilesAsync("#file", new FilePayload { Name = "visit.json", MimeType = "application/json", Buffer = System.Text.Encoding.UTF8.GetBytes(desk.Example("06-").ToJsonString()) });
        await page.GetByRole(AriaRole.Button, new() { Name = "Try it" }).ClickAsync();

        await Expect(page.Locator("#decision")).ToContainTextAsync("T4");
        await Expect(page.Locator("#sent")).ToContainTextAsync("nothing would be sent");
    }

    private async Task<int> CountAsync() =>
        (await desk.Gateway.Get<EncounterStore>().ListAsync(new Reach.Everything("test"), null, 200, TestContext.Current.CancellationToken)).Items.Count;
}
