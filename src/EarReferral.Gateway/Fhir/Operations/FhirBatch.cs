using System.Globalization;
using EarReferral.Gateway.Configuration;
using Hl7.Fhir.Model;
using Microsoft.AspNetCore.WebUtilities;
using Microsoft.Extensions.Options;
using IssueType = Hl7.Fhir.Model.OperationOutcome.IssueType;

namespace EarReferral.Gateway.Fhir.Operations;

/// <summary>Answers a batch of reads posted at the base: each entry by itself, in its order, as if it had come alone.</summary>
internal static class FhirBatch
{
    private const int Greatest = 100;

    /// <summary>Answers one batch.</summary>
    public static async Task<IResult> AnswerAsync(HttpContext context, FhirReads reads, IOptions<GatewayOptions> gateway)
    {
        var (bundle, refusal) = await FhirBody.ReadAsync<Bundle>(context);
        if (bundle is not { Type: Bundle.BundleType.Batch })
        {
            return refusal ?? FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.NotSupported, "A batch of reads is taken here, no other Bundle.", "Bundle.type");
        }

        if (bundle.Entry.Count > Greatest)
        {
            return FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.TooCostly, $"A batch has at most {Greatest} entries.", "Bundle.entry");
        }

        var request = FhirRequest.Of(context);
        var answer = new Bundle { Type = Bundle.BundleType.BatchResponse };
        foreach (var entry in bundle.Entry)
        {
            answer.Entry.Add(Entry(await AnswerAsync(entry.Request, request, reads, gateway.Value, context.RequestAborted)));
        }

        return FhirResult.Ok(answer);
    }

    private static async Task<FhirResult> AnswerAsync(Bundle.RequestComponent? asked, FhirRequest batch, FhirReads reads, GatewayOptions gateway, CancellationToken stop)
    {
        if (asked?.Url is not { } url || asked.Method is null)
        {
            return FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.Required, "The entry has no request.method and request.url.");
        }

        if (asked.Method is not (Bundle.HTTPVerb.GET or Bundle.HTTPVerb.HEAD))
        {
            return FhirResult.Error(StatusCodes.Status405MethodNotAllowed, IssueType.NotSupported, "A batch here reads only.");
        }

        var own = new Uri(gateway.PublicBaseUrl, "fhir/").ToString();
        var parts = (url.StartsWith(own, StringComparison.Ordinal) ? url[own.Length..] : url).Split('?', 2);
        var path = parts[0].Trim('/').Split('/').Select(Uri.UnescapeDataString).ToList();
        var query = parts.Length == 2 ? QueryHelpers.ParseQuery(parts[1]) : [];
        return await reads.AnswerAsync(
            path,
            new FhirRequest(batch.Reach, [.. FhirRequest.Pairs(query)], FhirRequest.Tags(asked.IfNoneMatch), asked.IfModifiedSince, batch.IsStrict) { Scopes = batch.Scopes },
            stop);
    }

    private static Bundle.EntryComponent Entry(FhirResult result) => new()
    {
        Resource = result.Resource is OperationOutcome ? null : result.Resource,
        Response = new Bundle.ResponseComponent
        {
            Status = result.Status.ToString(CultureInfo.InvariantCulture),
            Etag = result.Tag is { } tag ? $"W/\"{tag}\"" : null,
            LastModified = result.LastUpdated,
            Outcome = result.Resource as OperationOutcome,
        },
    };
}
