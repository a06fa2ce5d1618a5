using EarReferral.Mapping.Codes;
using EarReferral.Mapping.Identity;
using Hl7.Fhir.Model;

namespace EarReferral.Gateway.Fhir;

/// <summary>The DocumentReference under which a document consumer finds the summary; made and stored beside the Composition, so each version of it follows.</summary>
/// <remarks>
/// It is never sent and claims no profile: <c>ear-document-reference</c> is for letters that travel. The address is relative, as R4
/// allows for attachments, so that it holds wherever the gateway is reached; size and hash are left out since the document is made
/// when it is asked for.
/// </remarks>
internal static class SummaryListing
{
    /// <summary>The listing of a summary.</summary>
    public static DocumentReference Of(Composition summary)
    {
        var id = EncounterIdentity.NameBased(Guid.Parse(summary.Id!), "document-reference").ToString();
        return new DocumentReference
        {
            Id = id,
            MasterIdentifier = new Identifier("urn:ietf:rfc:3986", $"urn:uuid:{EncounterIdentity.NameBased(Guid.Parse(summary.Id!), "document")}"),
            Identifier = [new Identifier(Canonicals.ResourceIdentifier, id)],
            Language = summary.Language,
            Status = DocumentReferenceStatus.Current,
            DocStatus = summary.Status,
            Type = Copy(summary.Type),
            Subject = Copy(summary.Subject),
            Date = summary.DateElement?.ToDateTimeOffset(TimeSpan.Zero),
            Author = [.. summary.Author.Select(Copy).OfType<ResourceReference>()],
            Custodian = Copy(summary.Custodian),
            Description = summary.Title,
            SecurityLabel = summary.Confidentiality is { } label ? [new CodeableConcept("http://terminology.hl7.org/CodeSystem/v3-Confidentiality", label.ToString())] : [],
            Content =
            [
                new DocumentReference.ContentComponent
                {
                    Attachment = new Attachment
                    {
                        ContentType = Representations.FhirMediaType.Json,
                        Language = summary.Language,
                        Url = $"Composition/{summary.Id}/$document",
                        Title = summary.Title,
                        CreationElement = summary.DateElement is { } date ? new FhirDateTime(date.Value) : null,
                    },
                    Format = new Coding("http://ihe.net/fhir/ihe.formatcode.fhir/CodeSystem/formatcode", "urn:ihe:iti:xds:2017:mimeTypeSufficient"),
                },
                new DocumentReference.ContentComponent
                {
                    // Beside the FHIR base, because it is made for people; it resolves against the base as R4 asks.
                    Attachment = new Attachment
                    {
                        ContentType = System.Net.Mime.MediaTypeNames.Application.Pdf,
                        Language = summary.Language,
                        Url = $"../summaries/{summary.Id}.pdf",
                        Title = $"{summary.Title}, to read and print",
                        CreationElement = summary.DateElement is { } written ? new FhirDateTime(written.Value) : null,
                    },
                    Format = new Coding("http://ihe.net/fhir/ihe.formatcode.fhir/CodeSystem/formatcode", "urn:ihe:iti:xds:2017:mimeTypeSufficient"),
                },
            ],
            Context = new DocumentReference.ContextComponent
            {
                Encounter = summary.Encounter is { } encounter ? [Copy(encounter)!] : [],
                Related = [new ResourceReference($"Composition/{summary.Id}")],
            },
        };
    }

    private static T? Copy<T>(T? element)
        where T : Base => (T?)element?.DeepCopy();
}
