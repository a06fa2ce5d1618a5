using System.Globalization;
using EarReferral.Gateway.Fhir;
using EarReferral.Gateway.Intake;
using EarReferral.Mapping.Codes;
using EarReferral.Storage;
using EarReferral.Storage.Resources;
using EarReferral.Storage.Search;
using FhirTask = Hl7.Fhir.Model.Task;
using IssueType = Hl7.Fhir.Model.OperationOutcome.IssueType;

namespace EarReferral.Gateway.Referrals;

/// <summary>Takes a receiver's report: <c>PUT /fhir/Task/{id}</c> with If-Match.</summary>
/// <remarks>What is not applied is recorded and raised, never dropped; the outcome says which it was.</remarks>
internal static class TaskUpdateEndpoint
{
    /// <summary>Finds the Task by its identifier and goes on as if its id had been named.</summary>
    public static async Task<IResult> PutByIdentifierAsync(string? identifier, HttpContext context, ResourceStore resources, TaskReports reports, TimeProvider clock)
    {
        if (SearchParser.Parse("Task", [KeyValuePair.Create("identifier", identifier ?? "")], clock.GetUtcNow()).Query is not { } query)
        {
            return FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.Value, "Name the Task with ?identifier=system|value.");
        }

        var found = await resources.SearchAsync(Callers.EntSystem(context), query, null, context.RequestAborted);
        return found.Entries.Count > 1
            ? FhirResult.Error(StatusCodes.Status412PreconditionFailed, IssueType.MultipleMatches, "More than one Task has this identifier.")
            : await TakeAsync(found.Entries.Count == 1 ? found.Entries[0].Id : "", isIdNamed: false, context, resources, reports, clock);
    }

    /// <summary>Judges one update against the stored Task and applies it when it is lawful.</summary>
    public static Task<IResult> PutAsync(string id, HttpContext context, ResourceStore resources, TaskReports reports, TimeProvider clock) =>
        TakeAsync(id, isIdNamed: true, context, resources, reports, clock);

    private static async Task<IResult> TakeAsync(string id, bool isIdNamed, HttpContext context, ResourceStore resources, TaskReports reports, TimeProvider clock)
    {
        var stop = context.RequestAborted;
        using var memory = new MemoryStream();
        await context.Request.Body.CopyToAsync(memory, stop);
        var body = memory.ToArray();
        var received = FhirBody.Read(context.Request.ContentType, body);
        if (received is not { Resource: FhirTask sent, Issues.Count: 0 })
        {
            return FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.Structure, received.Issues.Count == 0 ? "The body must be a Task." : $"The body cannot be read as FHIR R4: {string.Join("; ", received.Issues.Select(issue => issue.RuleId).Distinct())}.");
        }

        // Found by its identifier, the body is the receiver's own copy, whose id is the receiver's.
        if (isIdNamed && sent.Id is { } named && named != id)
        {
            return FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.Invalid, "Task.id differs from the id in the address (FHIR R4 RESTful API, update).", "Task.id");
        }

        var reach = Callers.EntSystem(context);
        var address = isIdNamed ? id : null;
        var stored = await resources.ReadAsync(reach, "Task", id, stop);
        if (stored is null && isIdNamed && await ReplacementAsync(id, reach, resources, clock, stop) is { } replacement)
        {
            (id, stored) = (replacement.Id, replacement);
        }

        var report = new TaskReport(reach, Callers.Actor, id, sent, body) { Address = address };
        if (stored is null)
        {
            return Refusal(await reports.UnknownAsync(report, stop));
        }

        if (context.Request.Headers.IfMatch.Count == 0)
        {
            return FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.Required, "If-Match is required, with the version that the update starts from.");
        }

        return await reports.TakeAsync(report with { Versions = [.. context.Request.Headers.IfMatch.OfType<string>()] }, stored, stop) switch
        {
            TaskReportOutcome.Taken taken => FhirResult.Of(taken.Task),
            TaskReportOutcome.Stale stale => FhirResult.Error(StatusCodes.Status412PreconditionFailed, IssueType.Conflict, string.Create(CultureInfo.InvariantCulture, $"The Task is at version {stale.Version}. Read it again and repeat the update on it.")),
            TaskReportOutcome.NotApplied refused => Refusal(refused),
            _ => FhirResult.Error(StatusCodes.Status412PreconditionFailed, IssueType.Conflict, "The Task changed meanwhile. Read it again and repeat the update on it."),
        };
    }

    private static FhirResult Refusal(TaskReportOutcome.NotApplied refused) => FhirResult.Error(refused.Status, refused.Code, refused.Sentence, refused.Expression);

    /// <summary>A receiver may address the Task that came with a correction by its own identity; here it is a further identifier of the one Task.</summary>
    private static async Task<StoredResource?> ReplacementAsync(string id, Reach reach, ResourceStore resources, TimeProvider clock, CancellationToken stop)
    {
        var query = SearchParser.Parse("Task", [KeyValuePair.Create("identifier", $"{Canonicals.ResourceIdentifier}|{id}")], clock.GetUtcNow()).Query;
        var found = query is null ? [] : (await resources.SearchAsync(reach, query, null, stop)).Entries;
        return found.Count == 1 ? await resources.ReadAsync(reach, "Task", found[0].Id, stop) : null;
    }
}
