using EarReferral.Mapping.Summary;
using EarReferral.Storage;
using EarReferral.Storage.Resources;
using Hl7.Fhir.Model;
using IssueType = Hl7.Fhir.Model.OperationOutcome.IssueType;

namespace EarReferral.Gateway.Fhir.Operations;

/// <summary>Answers <c>Composition/{id}/$document</c>: the document Bundle itself.</summary>
internal static class SummaryDocument
{
    /// <summary>The stored Composition with all that it reaches, within the caller's reach.</summary>
    public static async Task<FhirResult> AnswerAsync(string id, FhirRequest request, ResourceStore resources, CancellationToken stop)
    {
        if (request.Parameter("persist") is not (null or "false") || request.Parameter("graph") is not null)
        {
            return FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.NotSupported, "The document is made anew each time and not kept (persist), and by no other graph than its references.");
        }

        return await FindAsync(id, request.Reach, resources, stop) is { } document
            ? FhirResult.Ok(document)
            : FhirResult.Error(StatusCodes.Status404NotFound, IssueType.NotFound, "There is no Composition with this id.");
    }

    /// <summary>The document of a Composition; null where the caller can reach no such Composition.</summary>
    public static async Task<Bundle?> FindAsync(string id, Reach reach, ResourceStore resources, CancellationToken stop) =>
        (await resources.ReadAsync(reach, "Composition", id, stop))?.Parse() is Composition summary
            ? DocumentBundle.Build(summary, await ReachedAsync(summary, reach, resources, stop))
            : null;

    /// <summary>Every resource that one reaches by its references, within the caller's reach.</summary>
    public static async Task<IReadOnlyList<Resource>> ReachedAsync(Resource from, Reach reach, ResourceStore resources, CancellationToken stop)
    {
        var found = new Dictionary<string, Resource>(StringComparer.Ordinal);
        var open = new Queue<Resource>([from]);
        while (open.TryDequeue(out var resource))
        {
            foreach (var target in DocumentBundle.Targets(resource).Where(target => !found.ContainsKey(target)))
            {
                var parts = target.Split('/');
                if (parts.Length == 2 && await resources.ReadAsync(reach, parts[0], parts[1], stop) is { } stored)
                {
                    found[target] = stored.Parse();
                    open.Enqueue(found[target]);
                }
            }
        }

        return [.. found.Values];
    }
}
