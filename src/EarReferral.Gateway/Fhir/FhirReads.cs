using System.Globalization;
using EarReferral.Gateway.Configuration;
using EarReferral.Gateway.Fhir.Operations;
using EarReferral.Gateway.Fhir.Representations;
using EarReferral.Gateway.Fhir.Terminology;
using EarReferral.Storage.Resources;
using EarReferral.Storage.Search;
using Hl7.Fhir.Model;
using Microsoft.Extensions.Options;
using IssueType = Hl7.Fhir.Model.OperationOutcome.IssueType;

namespace EarReferral.Gateway.Fhir;

/// <summary>Every read of the FHIR face by its path below the base; the routes and the entries of a batch come through here alike.</summary>
internal sealed class FhirReads(
    ResourceStore resources, FhirSearch search, FhirHistory history, EverythingOperation everything, Definitions definitions, IOptions<GatewayOptions> gateway)
{
    private readonly CapabilityStatement statement = Capability.Statement(gateway.Value.PublicBaseUrl);

    /// <summary>Answers one read.</summary>
    /// <param name="path">Segments below the base, percent-decoded.</param>
    /// <param name="request">What was asked with it.</param>
    /// <param name="stop">Stops the wait.</param>
    public async System.Threading.Tasks.Task<FhirResult> AnswerAsync(IReadOnlyList<string> path, FhirRequest request, CancellationToken stop)
    {
        if (FhirScopes.Refusal(path, request) is { } refusal)
        {
            return refusal;
        }

        return FhirScopes.WithinScopes(await AnswerWithinAsync(path, request, stop), request);
    }

    private async System.Threading.Tasks.Task<FhirResult> AnswerWithinAsync(IReadOnlyList<string> path, FhirRequest request, CancellationToken stop)
    {
        var (subset, problem) = Subset.Of(request.Parameters);
        if (problem is not null || (subset.IsCount && path.Count > 1))
        {
            return FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.Value, problem ?? "_summary=count is for a search.");
        }

        return path switch
        {
            ["metadata"] => Metadata(request, subset),
            [.., var operation] when operation.StartsWith('$') && !IsOperation(path) => NotSupported("There is no such operation at this address."),
            [var type, ..] when Definitions.Types.Contains(type) => Definition(path, request, subset),
            [var type, ..] when !Capability.Types.Contains(type) => FhirResult.Error(StatusCodes.Status404NotFound, IssueType.NotFound, "This resource type is not served."),
            [var type] => await search.AnswerAsync(type, null, request, stop),
            [var type, var id] => Found(type, await resources.ReadAsync(request.Reach, type, id, stop), request, subset),
            [var type, var id, "_history"] => await history.AnswerAsync(type, id, request, stop),
            [var type, var id, "_history", var version] when int.TryParse(version, NumberStyles.None, CultureInfo.InvariantCulture, out var number) =>
                Found(type, await resources.ReadVersionAsync(request.Reach, type, id, number, stop), request, subset),
            ["Composition", var id, "$document"] => await SummaryDocument.AnswerAsync(id, request, resources, stop),
            [var type and ("Patient" or "Encounter"), var id, "$everything"] => await everything.AnswerAsync(type, id, request, stop),
            [var owner, var id, var member] when Compartment.Owners.Contains(owner) => await search.AnswerAsync(member, new Compartment(owner, id), request, stop),
            _ => NotSupported("Nothing is served at this address."),
        };
    }

    private static bool IsOperation(IReadOnlyList<string> path) => path is ["Composition", _, "$document"] or ["Patient" or "Encounter", _, "$everything"];

    private static FhirResult NotSupported(string sentence) => FhirResult.Error(StatusCodes.Status404NotFound, IssueType.NotSupported, sentence);

    private FhirResult Metadata(FhirRequest request, Subset subset)
    {
        var whole = FhirJson.Bytes(statement);
        var tag = Convert.ToHexStringLower(System.Security.Cryptography.SHA256.HashData(whole))[..16];
        return request.Has(tag)
            ? FhirResult.NotModified(tag, null)
            : FhirResult.Ok(subset.Apply((Resource)statement.DeepCopy()), tag);
    }

    private FhirResult Definition(IReadOnlyList<string> path, FhirRequest request, Subset subset) => path switch
    {
        [var type] => DefinitionSearch.Answer(type, request.Parameters, subset, definitions, gateway),
        [var type, var id] => definitions.ById(type, id) is { } found
            ? FhirResult.Ok(subset.Apply((Resource)found.DeepCopy()))
            : FhirResult.Error(StatusCodes.Status404NotFound, IssueType.NotFound, $"There is no {type} with this id."),
        _ => NotSupported("Definitions have one version; only read and search are supported on them."),
    };

    // Whose the resource is was judged before: who may not see it learns nothing from a 304.
    private static FhirResult Found(string type, StoredResource? stored, FhirRequest request, Subset subset)
    {
        if (stored is null)
        {
            return FhirResult.Error(StatusCodes.Status404NotFound, IssueType.NotFound, $"There is no {type} with this id.");
        }

        var tag = stored.Version.ToString(CultureInfo.InvariantCulture);
        return request.Has(tag, stored.LastUpdated, stored.Version == 1) ? FhirResult.NotModified(tag, stored.LastUpdated) : FhirResult.Of(stored, subset);
    }
}
