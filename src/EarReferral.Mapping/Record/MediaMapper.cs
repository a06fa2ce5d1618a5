using EarReferral.Encounters;
using EarReferral.Mapping.Codes;
using EarReferral.Mapping.Identity;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Record;

/// <summary>Pictures and videos by reference; their bytes never pass through.</summary>
internal static class MediaMapper
{
    public static Media Map(ImageReference image, Patient patient, Encounter visit, Hl7.Fhir.Model.PractitionerRole role, EncounterIdentity identity)
    {
        var media = ResourceStamp.Stamp(new Media(), identity.Resource($"media/{image.Id}"), "ear-media");
        media.Identifier = [ResourceStamp.Own(media)];
        media.Status = EventStatus.Completed;
        media.Type = (image.MediaType.StartsWith("video/", StringComparison.OrdinalIgnoreCase) ? Hl7Codes.Video : Hl7Codes.Image).Concept();
        media.Subject = ResourceStamp.To(patient);
        media.Encounter = ResourceStamp.To(visit);
        media.Created = ResourceStamp.At(image.TakenAt);
        media.Operator = ResourceStamp.To(role);
        media.BodySite = BodySites.Of(image.Side);
        media.Note = [new Annotation { Text = image.Moment switch
        {
            ImageMoment.Before => "Before the procedure",
            ImageMoment.During => "During the procedure",
            ImageMoment.After => "After the procedure",
        } }];

        // R4 defines Attachment.hash as SHA-1, so a SHA-256 stands in words instead of in an element that means something else.
        media.Content = new Attachment { ContentType = image.MediaType, Url = image.Url, Title = image.Id };
        if (image.Sha256 is { } hash)
        {
            media.Note.Add(new Annotation { Text = $"SHA-256 of the file: {hash}" });
        }

        return media;
    }
}
