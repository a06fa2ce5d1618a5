using System.Net;
using EarReferral.Storage;
using EarReferral.Storage.Referrals;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace EarReferral.Pages.Tests;

/// <summary>The clinician between two patients: see, phone, close. What a page does is read back from the store and not from the page.</summary>
public sealed class ClinicianPathTests(Desk desk)
{
    private static readonly Reach Everything = new Reach.Everything("test");

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    private ReferralStore Store => desk.Gateway.Get<ReferralStore>();

    [Fact]
    public async Task UrgentReferral_IsSeenPhonedAndNoLongerAskedFor_ByKeyboardAlone()
    {
        Desk.NeedsBrowser();
        var id = await desk.ReferAsync("09-");
        var page = await desk.TabAsync();
        await page.GotoAsync("/desk/referrals?show=urgent");
        await Desk.KeepAsync(page, "open-referrals");
        await Expect(page.Locator($".line:has(a[href='/desk/referrals/{id}'])")).ToContainTextAsync("Phone now");
        await TabToAsync(page, $"a[href='/desk/referrals/{id}']");
        await page.Keyboard.PressAsync("Enter");
        await page.WaitForURLAsync($"**/desk/referrals/{id}");
        await Desk.KeepAsync(page, "story");
        await TabToAsync(page, $".phone a[href='/desk/referrals/{id}/call']");
        await page.Keyboard.PressAsync("Enter");
        await page.WaitForURLAsync($"**/{id}/call");
        await TabToAsync(page, "#outcome-taken");
        await page.Keyboard.PressAsync("Space");
        await TabToAsync(page, "#saidBy");
        await page.Keyboard.TypeAsync("Ms Annear, ENT registrar");
        await TabToAsync(page, "#person");
        await page.Keyboard.TypeAsync("Morwenna Tal");
        await page.Keyboard.PressAsync("Enter");
        await page.WaitForURLAsync("**?done=call");

        await Expect(page.GetByRole(AriaRole.Status)).ToContainTextAsync("Recorded");
        await Expect(page.GetByText("Phone now")).ToHaveCountAsync(0);
        var line = Assert.Single(await Store.TimelineAsync(Everything, id, Stop), entry => entry.Kind == "phone-taken");
        Assert.Contains("Ms Annear, ENT registrar", line.Detail, StringComparison.Ordinal);
        Assert.Contains("Morwenna Tal", line.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Closing_WithoutReason_SaysEveryPlace_AndWithAllOfItTakesItOffTheList()
    {
        Desk.NeedsBrowser();
        var id = await desk.ReferAsync("12-");
        var page = await desk.TabAsync();
        await page.GotoAsync($"/desk/referrals/{id}/close");
        await page.GetByRole(AriaRole.Button, new() { Name = "Close" }).ClickAsync();

        await Expect(page.GetByRole(AriaRole.Alert)).ToContainTextAsync("Nothing was changed");
        await Desk.KeepAsync(page, "close-refused");
        Assert.Equal(4, await page.Locator(".wrong").CountAsync());
        Assert.Equal("person", await page.EvaluateAsync<string>("document.activeElement.id"));
        Assert.NotEqual(ReferralState.Closed, (await Store.FindAsync(Everything, id, Stop))!.State);

        await page.CheckAsync("#reason-treatedElsewhere");
        await page.CheckAsync("#role-clinician");
        await page.FillAsync("#text", "Seen privately last week.");
        await page.FillAsync("#told", "ENT secretary");
        await page.FillAsync("#person", "Dr Jory Pascoe");
        await page.GetByRole(AriaRole.Button, new() { Name = "Close" }).ClickAsync();
        await page.WaitForURLAsync("**?done=close");

        Assert.Equal(ReferralState.Closed, (await Store.FindAsync(Everything, id, Stop))!.State);
        await page.GotoAsync("/desk/referrals");
        await Expect(page.Locator($"a[href='/desk/referrals/{id}']")).ToHaveCountAsync(0);
    }

    [Fact]
    public async Task WithoutScript_TheSamePathWorks()
    {
        Desk.NeedsBrowser();
        var id = await desk.ReferAsync("14-");
        var page = await desk.TabAsync(script: false);
        await page.GotoAsync("/desk/referrals");
        await page.ClickAsync($"a[href='/desk/referrals/{id}']");
        await page.ClickAsync($"a[href='/desk/referrals/{id}/hold']");
        await page.CheckAsync("#reason-patientUndecided");
        await page.FillAsync("#person", "Morwenna Tal");
        await page.ClickAsync("button.first");

        await Expect(page.GetByText("Recorded.", new() { Exact = true })).ToBeVisibleAsync();
        Assert.Equal(ReferralState.Held, (await Store.FindAsync(Everything, id, Stop))!.State);
    }

    [Fact]
    public async Task SummaryThatNoPracticeFetches_IsHandedOver_AndLeavesTheList()
    {
        Desk.NeedsBrowser();
        var receipt = await desk.PostAsync(desk.Example("17-"));
        var key = new Uri((string)receipt["encounter"]!).Segments[^1];
        var page = await desk.TabAsync(320);
        await page.GotoAsync("/desk/referrals");
        await page.ClickAsync($"a[href='/desk/visits/{key}/given']");
        await page.GetByRole(AriaRole.Button, new() { Name = "Write it down" }).ClickAsync();
        Assert.Equal(3, await page.Locator(".wrong").CountAsync());
        await page.CheckAsync("#way-patientCopy");
        await page.CheckAsync("#to-patient");
        await page.FillAsync("#person", "Morwenna Tal");
        await page.GetByRole(AriaRole.Button, new() { Name = "Write it down" }).ClickAsync();
        await page.WaitForURLAsync("**?done=given");

        await Expect(page.Locator($"a[href='/desk/visits/{key}/given']")).ToHaveCountAsync(0);
        Assert.True(await page.EvaluateAsync<int>("document.documentElement.scrollWidth") <= 320);
    }

    [Fact]
    public async Task ListKeepsItselfUpToDate_AndSaysWhenItCannot()
    {
        Desk.NeedsBrowser();
        var page = await desk.TabAsync();
        await page.GotoAsync("/desk/referrals");
        var id = await desk.ReferAsync("07-");

        await Expect(page.Locator($"a[href='/desk/referrals/{id}']")).ToBeVisibleAsync(new() { Timeout = 40_000 });
        await page.RouteAsync("**/desk/referrals", route => route.AbortAsync());
        await Expect(page.Locator("#live-said")).ToContainTextAsync("may be old", new() { Timeout = 40_000 });
    }

    [Fact]
    public async Task FormThatComesFromElsewhere_ChangesNothing()
    {
        Desk.NeedsBrowser();
        var id = await desk.ReferAsync("11-");
        using var form = new FormUrlEncodedContent(new Dictionary<string, string> { ["person"] = "Morwenna Tal", ["reason"] = "patientUndecided" });
        using var answer = await desk.Gateway.Client.PostAsync(new Uri($"/desk/referrals/{id}/hold", UriKind.Relative), form, Stop);

        Assert.Equal(HttpStatusCode.BadRequest, answer.StatusCode);
        Assert.NotEqual(ReferralState.Held, (await Store.FindAsync(Everything, id, Stop))!.State);
    }

    /// <summary>Presses Tab until the element has the focus, as somebody without a mouse does.</summary>
    private static async Task TabToAsync(IPage page, string selector)
    {
        for (var pressed = 0; pressed < 120; pressed++)
        {
            if (await page.EvaluateAsync<bool>("selector => document.activeElement.matches(selector)", selector))
            {
                return;
            }

            await page.Keyboard.PressAsync("Tab");
        }

        Assert.Fail($"{selector} is not reached by the keyboard.");
    }
}
