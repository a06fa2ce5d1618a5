using System.Globalization;
using Hl7.Fhir.Model;

namespace EarReferral.Summary.Pages;

/// <summary>Pictures and videos of a visit as a list: side, moment, how long after the visit began, hash, where they lie.</summary>
internal static class ImageLines
{
    public static IEnumerable<string> Of(RecordIndex record)
    {
        var begin = record.Resources.OfType<Encounter>().Select(visit => Instant(visit.Period?.Start)).FirstOrDefault(start => start is not null);
        return record.Resources.OfType<Media>().Where(media => media.Status is not EventStatus.EnteredInError).Select(media => string.Join("; ", ((string?[])
        [
            $"{media.Type?.Text ?? "Image"} {media.Content?.Title}",
            media.BodySite?.Text ?? "side not recorded",
            Offset(begin, Instant((media.Created as FhirDateTime)?.Value)),
            media.Content?.ContentType,
            .. media.Note.Select(note => note.Text),
            media.Content?.Url is { Length: > 0 } url ? $"kept at {url}, opened by whom the clinic lets in" : "no address given: ask the clinic",
        ]).Where(part => !string.IsNullOrEmpty(part))));
    }

    private static string Offset(DateTimeOffset? begin, DateTimeOffset? at) => (begin, at) switch
    {
        ({ } start, { } taken) when taken >= start => string.Create(CultureInfo.InvariantCulture, $"{(int)(taken - start).TotalMinutes} min after the visit began"),
        (_, { } taken) => taken.ToString("d MMMM yyyy, HH:mm", CultureInfo.InvariantCulture),
        _ => "time not recorded",
    };

    private static DateTimeOffset? Instant(string? value) => DateTimeOffset.TryParse(value, CultureInfo.InvariantCulture, DateTimeStyles.AssumeUniversal, out var instant) ? instant : null;
}
