using System.Collections.Frozen;
using System.Text.Json;
using EarReferral.Referrals.Calendars;

namespace EarReferral.Delivery.Calendars;

/// <summary>A dated list of bank holidays as it stands in a file.</summary>
internal sealed record CalendarFile(string Source, string Division, string TimeZone, DateOnly ValidUntil, IReadOnlyList<DateOnly> Holidays)
{
    private const string Published = "bank-holidays-england-and-wales.json";
    private static readonly JsonSerializerOptions Json = new(JsonSerializerDefaults.Web) { RespectNullableAnnotations = true, RespectRequiredConstructorParameters = true };

    /// <summary>The list in a file, or the one that came with the program.</summary>
    /// <exception cref="InvalidDataException">The file is no such list; a deadline must not rest on a guess.</exception>
    public static WorkingCalendar Load(string? path)
    {
        using var stream = path is null ? typeof(CalendarFile).Assembly.GetManifestResourceStream(Published)! : File.OpenRead(path);
        try
        {
            var file = JsonSerializer.Deserialize<CalendarFile>(stream, Json) ?? throw new InvalidDataException("The calendar file is empty.");
            return new WorkingCalendar(file.Holidays.ToFrozenSet(), file.ValidUntil, TimeZoneInfo.FindSystemTimeZoneById(file.TimeZone));
        }
        catch (Exception unreadable) when (unreadable is JsonException or TimeZoneNotFoundException)
        {
            throw new InvalidDataException($"Delivery:CalendarFile cannot be read: {unreadable.Message}", unreadable);
        }
    }
}
