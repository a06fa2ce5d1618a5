using System.Globalization;
using System.Text.Json.Nodes;
using EarReferral.Encounters.Reading;
using EarReferral.Gateway.Demo;
using EarReferral.Testing;

namespace EarReferral.Gateway.Tests.Demo;

public sealed class ExampleRebaseTests
{
    public static TheoryData<string> Examples() => [.. Directory.GetFiles(Repository.At("examples", "encounters"), "*.json").Select(file => Path.GetFileName(file)!).Order()];

    [Theory]
    [MemberData(nameof(Examples))]
    public void AnyExampleAtAnyHour_IsStillAValidEncounterThatHasEnded(string file)
    {
        var example = JsonNode.Parse(File.ReadAllText(Repository.At("examples", "encounters", file)))!.AsObject();

        // Just after midnight, at noon, in both halves of the year, and on the days on which the clocks change in 2026.
        foreach (var text in new[] { "2026-11-25T00:05:00Z", "2026-07-01T12:00:00Z", "2026-03-29T01:30:00Z", "2026-10-25T01:30:00Z", "2028-02-29T23:59:00Z" })
        {
            var now = DateTimeOffset.Parse(text, CultureInfo.InvariantCulture);
            var moved = ExampleRebase.To(example, now);

            var reading = EncounterReader.Read(System.Text.Encoding.UTF8.GetBytes(moved.ToJsonString()), new EncounterReaderOptions { AllowTestNhsNumbers = true });

            Assert.Empty(reading.Problems);
            Assert.True(reading.Encounter!.EvaluationInstant <= now, text);
            Assert.True(now - reading.Encounter.EvaluationInstant < TimeSpan.FromHours(26), text);
        }
    }

    [Fact]
    public void DaysBetweenOnsetAndVisit_StayWhatTheyWere()
    {
        var example = JsonNode.Parse(File.ReadAllText(Directory.GetFiles(Repository.At("examples", "encounters"), "09-*.json").Single()))!.AsObject();

        var moved = ExampleRebase.To(example, new DateTimeOffset(2026, 11, 25, 18, 0, 0, TimeSpan.Zero));

        Assert.Equal(Days(example), Days(moved));
        Assert.Equal((string)example["patient"]!["birthDate"]!, (string)moved["patient"]!["birthDate"]!);
    }

    private static int Days(JsonObject document)
    {
        var onset = document["ears"]!.AsArray().Select(ear => (string?)ear!["hearing"]?["onsetDate"]).First(date => date is not null)!;
        var visit = DateTimeOffset.Parse((string)document["evaluationInstant"]!, CultureInfo.InvariantCulture);
        return DateOnly.FromDateTime(visit.DateTime).DayNumber - DateOnly.ParseExact(onset, "yyyy-MM-dd", CultureInfo.InvariantCulture).DayNumber;
    }
}
