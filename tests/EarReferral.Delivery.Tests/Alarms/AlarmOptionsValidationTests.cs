using EarReferral.Delivery.Alarms;
using Microsoft.Extensions.Configuration;

namespace EarReferral.Delivery.Tests.Alarms;

public sealed class AlarmOptionsValidationTests
{
    private static readonly Dictionary<string, string?> Sound = new()
    {
        ["Channels:duty:Kind"] = "webhook",
        ["Channels:duty:Url"] = "https://alarms.harbour-lane.example/in",
        ["Channels:duty:Secret"] = "a-secret-of-at-least-32-characters",
        ["Channels:lead:Kind"] = "email",
        ["Channels:lead:To"] = "lead@harbour-lane.example",
        ["Channels:lead:From"] = "gateway@harbour-lane.example",
        ["Channels:lead:Host"] = "mail.harbour-lane.example",
        ["Lists:default:0:Name"] = "on duty",
        ["Lists:default:0:Channels:0"] = "duty",
    };

    [Fact]
    public void SoundSite_IsAccepted() => Assert.Null(Refusal(Sound));

    [Fact]
    public void SiteWithoutAlarms_IsAccepted() => Assert.Null(Refusal([]));

    [Theory]
    [InlineData("Channels:duty:Url", "http://alarms.harbour-lane.example/in", "Url must be")] // in clear through a network
    [InlineData("Channels:duty:Secret", "short", "at least 32 characters")]
    [InlineData("Channels:duty:SecretFile", "/no/such/file", "at least 32 characters")]
    [InlineData("Channels:duty:Kind", "pager", "Kind must be")]
    [InlineData("Channels:lead:To", "nobody", "no e-mail address")]
    [InlineData("Channels:lead:Host", "", "must name a mail server")]
    [InlineData("Channels:lead:Security", "none", "for a server on this machine only")]
    [InlineData("Lists:default:0:Channels:0", "elsewhere", "not among Delivery:Alarms:Channels")]
    [InlineData("Lists:default:0:Name", "", "Name is missing")]
    [InlineData("Lists:default:0:Waits:T1", "00:00:10", "at least a minute")]
    [InlineData("Lists:default:0:Waits:T9", "00:10:00", "must name one of")]
    [InlineData("Heartbeat:Url", "ftp://x", "must be an absolute https address")]
    [InlineData("Heartbeat:Every", "00:00:01", "between 10 seconds and 1 hour")]
    public void WhatCouldReachNobodyOrAStranger_IsRefused(string key, string value, string expected) =>
        Assert.Contains(expected, Refusal(new(Sound) { [key] = value }), StringComparison.Ordinal);

    [Fact]
    public void ChannelsWithoutAListForEverybody_AreRefused()
    {
        var settings = Sound.Where(setting => !setting.Key.StartsWith("Lists", StringComparison.Ordinal)).ToDictionary();

        Assert.Contains("Lists:default is missing", Refusal(settings), StringComparison.Ordinal);
    }

    private static string? Refusal(Dictionary<string, string?> settings)
    {
        var options = new AlarmOptions();
        new ConfigurationBuilder().AddInMemoryCollection(settings).Build().Bind(options);
        return new AlarmOptionsValidation().Validate(null, options).FailureMessage;
    }
}
