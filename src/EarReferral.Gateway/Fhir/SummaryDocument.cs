using EarReferral.Gateway.Intake;
using EarReferral.Mapping.Summary;
using EarReferral.Storage;
using EarReferral.Storage.Resources;
using Hl7.Fhir.Model;
using IssueType = Hl7.Fhir.Model.OperationOutcome.IssueType;

namespace EarReferral.Gateway.Fhir;

/// <summary>Answers <c>Composition/{id}/$document</c>.</summary>
internal static class SummaryDocument
{
    /// <summary>The stored Composition with all that it reaches, within the caller's reach.</summary>
    public static async System.Threading.Tasks.Task<IResult> AnswerAsync(string id, HttpContext context, ResourceStore resources)
    {
        var reach = Callers.FhirClient(context);
        if ((await resources.ReadAsync(reach, "Composition", id, context.RequestAborted))?.Parse() is not Composition summary)
        {
            return FhirResult.Error(StatusCodes.Status404NotFound, IssueType.NotFound, "There is no Composition with this id.");
        }

        return FhirResult.Ok(DocumentBundle.Build(summary, await ReachedAsync(summary, reach, resources, context.RequestAborted)));
    }

    private static async System.Threading.Tasks.Task<IReadOnlyList<Resource>> ReachedAsync(Composition summary, Reach reach, ResourceStore resources, CancellationToken stop)
    {
        var found = new Dictionary<string, Resource>(StringComparer.Ordinal);
        var open = new Queue<Resource>([summary]);
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
