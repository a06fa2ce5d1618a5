using System.Globalization;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using EarReferral.Testing;

namespace EarReferral.Faults;

/// <summary>Visits that lead to a referral, made from the examples: invented people in many combinations, yesterday.</summary>
internal sealed partial class Visits
{
    // Every one of these leads to an ENT referral, as its expectation file says; tiers T0 to T3.
    private static readonly string[] Referred = ["07", "08", "09", "10", "11", "12", "13", "14", "16"];

    private readonly List<JsonObject> examples = [.. Referred.Select(start =>
        JsonNode.Parse(File.ReadAllText(Directory.GetFiles(Repository.At("examples", "encounters"), $"{start}-*.json").Single()))!.AsObject())];

    private readonly Random random;
    private readonly string run;
    private int people;
    private readonly DateOnly yesterday = DateOnly.FromDateTime(DateTime.UtcNow).AddDays(-1);

    public Visits(int seed) => (random, run) = (new Random(seed), seed.ToString(CultureInfo.InvariantCulture));

    /// <summary>The visits in the order in which the clinic posts them. One patient in ten comes a second time, often while the first referral is under way.</summary>
    public IReadOnlyList<JsonObject> Make(int count)
    {
        var visits = new List<JsonObject>();
        JsonObject? former = null;
        for (var number = 0; number < count; number++)
        {
            var isAgain = former is not null && random.Next(10) == 0;
            former = Visit(number, isAgain ? former : null);
            visits.Add(former);
        }

        return visits;
    }

    /// <summary>A number of the test range with its check digit (NHS data dictionary: modulus 11); null where there is none.</summary>
    public static string? NhsNumber(int number)
    {
        var nine = $"999{number:000000}";
        var check = 11 - (nine.Select((digit, place) => (digit - '0') * (10 - place)).Sum() % 11);
        return check == 10 ? null : $"{nine}{(check == 11 ? 0 : check)}";
    }

    private JsonObject Visit(int number, JsonObject? former)
    {
        var example = former is null ? examples[random.Next(examples.Count)] : examples.First(each => (string?)each["evaluationInstant"] == (string?)former["exampleInstant"]);
        var decided = DateOnly.FromDateTime(DateTimeOffset.Parse((string)example["evaluationInstant"]!, CultureInfo.InvariantCulture).DateTime);
        var visit = Move(example, yesterday.DayNumber - decided.DayNumber, isBirthDate: false)!.AsObject();
        visit["encounterId"] = $"F{run}-{number:00000}";
        visit["exampleInstant"] = (string)example["evaluationInstant"]!;
        if (former is not null)
        {
            visit["patient"] = former["patient"]!.DeepClone();
        }
        else
        {
            string? nhs;
            do
            {
                nhs = NhsNumber(people++);
            }
            while (nhs is null);
            visit["patient"]!["id"] = $"f{run}-p-{people:000000}";
            visit["patient"]!["nhsNumber"] = new JsonObject { ["value"] = nhs, ["verification"] = "numberPresentAndVerified" };
        }

        return visit;
    }

    private static JsonNode? Move(JsonNode? node, int days, bool isBirthDate) => node switch
    {
        JsonObject members => new JsonObject(members.Select(member => KeyValuePair.Create(member.Key, Move(member.Value, days, member.Key == "birthDate")))),
        JsonArray items => new JsonArray([.. items.Select(item => Move(item, days, false))]),
        JsonValue value when !isBirthDate && value.TryGetValue<string>(out var text) => JsonValue.Create(MoveText(text, days)),
        _ => node?.DeepClone(),
    };

    private static string MoveText(string text, int days)
    {
        if (Instant().IsMatch(text))
        {
            var zone = TimeZoneInfo.FindSystemTimeZoneById("Europe/London");
            var wall = TimeZoneInfo.ConvertTime(DateTimeOffset.Parse(text, CultureInfo.InvariantCulture), zone).DateTime.AddDays(days);
            return new DateTimeOffset(wall, zone.GetUtcOffset(wall)).ToString("yyyy-MM-dd'T'HH:mm:sszzz", CultureInfo.InvariantCulture);
        }

        return Day().IsMatch(text) ? DateOnly.ParseExact(text, "yyyy-MM-dd", CultureInfo.InvariantCulture).AddDays(days).ToString("yyyy-MM-dd", CultureInfo.InvariantCulture)
            : Month().IsMatch(text) ? DateOnly.ParseExact(text + "-15", "yyyy-MM-dd", CultureInfo.InvariantCulture).AddDays(days).ToString("yyyy-MM", CultureInfo.InvariantCulture)
            : text;
    }

    [GeneratedRegex(@"^\d{4}-\d\d-\d\dT\d\d:\d\d")]
    private static partial Regex Instant();

    [GeneratedRegex(@"^\d{4}-\d\d-\d\d$")]
    private static partial Regex Day();

    [GeneratedRegex(@"^\d{4}-\d\d$")]
    private static partial Regex Month();
}
