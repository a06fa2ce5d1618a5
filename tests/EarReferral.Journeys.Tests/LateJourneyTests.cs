using System.Globalization;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using EarReferral.Journeys.Tests.Processes;

namespace EarReferral.Journeys.Tests;

public sealed partial class LateJourneyTests(RunningWorld running) : IClassFixture<RunningWorld>
{
    [Theory]
    [InlineData(1440, true, "an emergency decided yesterday, its hours are over")]
    [InlineData(20, false, "an emergency decided twenty minutes ago, its hours are running")]
    public async Task Emergency_IsMarkedLateWhenItsDeadlineHasPassedOnReceipt(int minutesAgo, bool late, string because)
    {
        var stop = TestContext.Current.CancellationToken;
        var document = DecidedAt(World.Fresh("08-"), DateTimeOffset.UtcNow.AddMinutes(-minutesAgo));

        var (status, receipt) = await running.World.PostAsync(document, stop);

        Assert.True(status == 201, receipt.ToJsonString());
        Assert.Equal("T0", (string)receipt["decision"]!["tier"]!);
        Assert.True((bool)receipt["late"]! == late, because);
        Assert.True((bool)receipt["phoneNow"]!, "Late or not, somebody must be phoned.");
        var (_, list) = await running.World.GetAsync("/encounters?count=200", stop);
        var item = list!["items"]!.AsArray().Single(item => (string)item!["encounterId"]! == (string)document["encounterId"]!)!;
        Assert.Equal(late, (bool)item["late"]!);
    }

    /// <summary>The document with all its instants moved alike, so that it was decided then.</summary>
    private static JsonObject DecidedAt(JsonObject document, DateTimeOffset decided)
    {
        var move = decided - DateTimeOffset.Parse((string)document["evaluationInstant"]!, CultureInfo.InvariantCulture);
        var text = Instant().Replace(document.ToJsonString(), found =>
            (DateTimeOffset.Parse(found.Value.Replace("\\u002B", "+", StringComparison.Ordinal), CultureInfo.InvariantCulture) + move).ToString("yyyy-MM-dd'T'HH:mm:sszzz", CultureInfo.InvariantCulture));
        return JsonNode.Parse(text)!.AsObject();
    }

    [GeneratedRegex(@"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\\u002B|[+-])\d\d:\d\d")]
    private static partial Regex Instant();
}
