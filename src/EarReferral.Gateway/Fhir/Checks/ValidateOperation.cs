using EarReferral.Gateway.Health;
using EarReferral.Validation;
using Hl7.Fhir.Model;
using IssueType = Hl7.Fhir.Model.OperationOutcome.IssueType;

namespace EarReferral.Gateway.Fhir.Checks;

/// <summary>Answers <c>POST /fhir/{type}/$validate</c> (R4 operation Resource-validate at type level). Nothing is stored.</summary>
internal static class ValidateOperation
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(5);

    /// <summary>Answers one request: 200 whether valid or not, 4xx when there was nothing to judge.</summary>
    public static async Task<IResult> AnswerAsync(string type, HttpContext context, ReferralValidator validator, Readiness readiness)
    {
        if (!ModelInfo.IsKnownResource(type))
        {
            return FhirResult.Error(StatusCodes.Status404NotFound, IssueType.NotFound, "R4 has no resource type of this name.");
        }

        using var memory = new MemoryStream();
        await context.Request.Body.CopyToAsync(memory, context.RequestAborted);
        var received = FhirBody.Read(context.Request.ContentType, memory.ToArray());
        if (received.Resource is null)
        {
            return Answer(StatusCodes.Status400BadRequest, ResourceCheck.Outcome(new ValidationReport(received.Issues), "Resource"));
        }

        var query = context.Request.Query;
        var (mode, profile) = (query["mode"].FirstOrDefault(), query["profile"].FirstOrDefault());
        if (received.Resource is Parameters parameters && type != "Parameters")
        {
            if (parameters.GetSingle("resource")?.Resource is not { } inner)
            {
                return FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.Required, "The parameter resource is missing.", "Parameters.parameter");
            }

            mode = (parameters.GetSingleValue<Code>("mode")?.Value) ?? mode;
            profile = (parameters.GetSingle("profile")?.Value as FhirUri)?.Value ?? profile;
            received = Unwrapped(received, parameters, inner);
        }

        if (received.Resource!.TypeName != type)
        {
            return FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.Invalid, $"The address names {type} and the body holds a {received.Resource.TypeName}.", received.Resource.TypeName);
        }

        if (mode is not (null or "" or "create" or "profile"))
        {
            return FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.NotSupported, "Only the modes create and profile are supported at this address; both judge the resource by its profile.", "Parameters.parameter");
        }

        if (!await readiness.IsWarmWithinAsync(Patience, context.RequestAborted))
        {
            context.Response.Headers.RetryAfter = "5";
            return FhirResult.Error(StatusCodes.Status503ServiceUnavailable, IssueType.Transient, "The validator is still warming up; nothing was checked. Try again in 5 seconds.");
        }

        return Answer(StatusCodes.Status200OK, ResourceCheck.Outcome(ResourceCheck.Of(received, validator, profile), type));
    }

    // The paths of what the reader refused begin at the Parameters; the caller thinks of the resource.
    private static ReceivedResource Unwrapped(ReceivedResource received, Parameters parameters, Resource inner)
    {
        var index = parameters.Parameter.FindIndex(parameter => ReferenceEquals(parameter.Resource, inner));
        var prefix = $"Parameters.parameter[{index}].resource";
        return new ReceivedResource(inner, [.. received.Issues.Select(issue => issue.Location.StartsWith(prefix, StringComparison.Ordinal)
            ? issue with { Location = inner.TypeName + issue.Location[prefix.Length..] }
            : issue)]);
    }

    private static FhirResult Answer(int status, OperationOutcome outcome) => FhirResult.Of(status, outcome);
}
