using Deque.AxeCore.Commons;
using Deque.AxeCore.Playwright;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace EarReferral.Pages.Tests;

/// <summary>What must hold of every page. Source: WCAG 2.2 level AA by axe-core (Deque), reflow at 320 CSS pixels (1.4.10), resize to 200 % (1.4.4).</summary>
public sealed class EveryPageTests(Desk desk)
{
    private static readonly string[] Places = ["/desk/referrals", "/desk/operations", "/desk/bench?example=09-sudden-loss-12-days", "/desk/rules", "/desk/report?month=2026-03", "/desk/report/list?month=2026-03&clinic=harbour-lane&figure=visit.all", "/desk/referrals/{id}", "/desk/referrals/{id}/call", "/desk/referrals/{id}/close", "/desk/nothing"];

    [Theory]
    [InlineData(1100, ColorScheme.Light)]
    [InlineData(320, ColorScheme.Dark)]
    public async Task NoViolationIsFound_AndNothingRunsOverTheEdge(int width, ColorScheme scheme)
    {
        Desk.NeedsBrowser();
        var id = await desk.ReferAsync("09-");
        var page = await desk.TabAsync(width, scheme);
        foreach (var place in Places.Select(place => place.Replace("{id}", id, StringComparison.Ordinal)))
        {
            await page.GotoAsync(place);
            await page.EvaluateAsync("document.querySelectorAll('details').forEach(each => each.open = true)");
            await Desk.KeepAsync(page, $"{place.Split('?')[0].Trim('/').Replace('/', '-').Replace(id, "one", StringComparison.Ordinal)}-{width}-{scheme}".ToLowerInvariant());
            var result = await page.RunAxe(new AxeRunOptions { RunOnly = new RunOnlyOptions { Type = "tag", Values = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"] } });
            Assert.True(result.Violations.Length == 0, $"{place}, {width}, {scheme}: {string.Join("; ", result.Violations.Select(found => $"{found.Id}: {found.Nodes[0].Html}"))}");
            Assert.True(await page.EvaluateAsync<int>("document.documentElement.scrollWidth") <= width, $"{place} is wider than {width}");
        }

        Assert.Empty(desk.Foreign);
    }

    [Fact]
    public async Task AtTwiceTheSize_NothingRunsOverTheEdge()
    {
        Desk.NeedsBrowser();
        var id = await desk.ReferAsync("09-");
        var page = await desk.TabAsync(width: 1280);
        foreach (var place in Places.Select(place => place.Replace("{id}", id, StringComparison.Ordinal)))
        {
            await page.GotoAsync(place);
            await page.EvaluateAsync("document.documentElement.style.fontSize = '200%'");
            Assert.True(await page.EvaluateAsync<int>("document.documentElement.scrollWidth") <= 1280, place);
        }
    }

    [Fact]
    public async Task HostileAndForeignNames_AreOnlyNames()
    {
        Desk.NeedsBrowser();
        var document = desk.Example("09-");
        document["patient"]!["name"]!["family"] = "<img src=x onerror=alert(1)> 👂 אבגד";
        var id = (string)(await desk.PostAsync(document))["referral"]!["id"]!;
        var page = await desk.TabAsync(320);
        var asked = false;
        page.Dialog += (_, dialog) =>
        {
            asked = true;
            dialog.DismissAsync();
        };

        foreach (var place in new[] { "/desk/referrals", $"/desk/referrals/{id}" })
        {
            await page.GotoAsync(place);
            await Expect(page.GetByText("<img src=x onerror=alert(1)> 👂 אבגד").First).ToBeVisibleAsync();
            Assert.True(await page.EvaluateAsync<int>("document.documentElement.scrollWidth") <= 320, place);
        }

        Assert.False(asked);
        await Desk.KeepAsync(page, "hostile-name-320");
    }
}
