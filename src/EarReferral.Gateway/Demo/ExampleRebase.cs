using System.Globalization;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;

namespace EarReferral.Gateway.Demo;

/// <summary>Moves the dates of an example so that its visit was the last time the clock showed its hour.</summary>
/// <remarks>
/// Every date and instant moves by the same number of whole days on the clinic's own wall clock, so that day counts stay
/// what they were. The birth date stays. The encounter identifier gets the date, so that the demo can be repeated on a used folder.
/// </remarks>
internal static partial class ExampleRebase
{
    /// <summary>The example as of <paramref name="now"/>.</summary>
    public static JsonObject To(JsonObject example, DateTimeOffset now)
    {
        var zone = TimeZoneInfo.FindSystemTimeZoneById((string)example["clinicTimeZone"]!);
        var decided = Wall((string)example["evaluationInstant"]!, zone);
        var wallNow = TimeZoneInfo.ConvertTime(now, zone).DateTime;
        // The visit must have ended by now: leave the quarter of an hour that follows a decision.
        var day = DateOnly.FromDateTime(wallNow).AddDays(TimeOnly.FromDateTime(decided).AddMinutes(30, out var wrapped) > TimeOnly.FromDateTime(wallNow) || wrapped > 0 ? -1 : 0);
        var days = day.DayNumber - DateOnly.FromDateTime(decided).DayNumber;

        var moved = (JsonObject)Move(example, zone, days, isBirthDate: false)!;
        moved["encounterId"] = $"{(string)example["encounterId"]!}-{day:yyyyMMdd}";
        return moved;
    }

    private static JsonNode? Move(JsonNode? node, TimeZoneInfo zone, int days, bool isBirthDate) => node switch
    {
        JsonObject members => new JsonObject(members.Select(member => KeyValuePair.Create(member.Key, Move(member.Value, zone, days, member.Key == "birthDate")))),
        JsonArray items => new JsonArray([.. items.Select(item => Move(item, zone, days, false))]),
        JsonValue value when !isBirthDate && value.TryGetValue<string>(out var text) => JsonValue.Create(MoveText(text, zone, days)),
        _ => node?.DeepClone(),
    };

    private static string MoveText(string text, TimeZoneInfo zone, int days)
    {
        if (Instant().IsMatch(text))
        {
            var wall = Wall(text, zone).AddDays(days);
            return new DateTimeOffset(wall, zone.GetUtcOffset(wall)).ToString("yyyy-MM-dd'T'HH:mm:sszzz", CultureInfo.InvariantCulture);
        }

        if (Day().IsMatch(text) && DateOnly.TryParseExact(text, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var date))
        {
            return date.AddDays(days).ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
        }

        return Month().IsMatch(text) && DateOnly.TryParseExact(text, "yyyy-MM", CultureInfo.InvariantCulture, DateTimeStyles.None, out var month)
            ? month.AddDays(14 + days).ToString("yyyy-MM", CultureInfo.InvariantCulture)
            : text;
    }

    private static DateTime Wall(string instant, TimeZoneInfo zone) =>
        TimeZoneInfo.ConvertTime(DateTimeOffset.Parse(instant, CultureInfo.InvariantCulture), zone).DateTime;

    [GeneratedRegex(@"^\d{4}-\d\d-\d\dT\d\d:\d\d")]
    private static partial Regex Instant();

    [GeneratedRegex(@"^\d{4}-\d\d-\d\d$")]
    private static partial Regex Day();

    [GeneratedRegex(@"^\d{4}-\d\d$")]
    private static partial Regex Month();
}
