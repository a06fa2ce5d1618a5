using EarReferral.Storage;
using EarReferral.Storage.Resources;
using FhirTask = Hl7.Fhir.Model.Task;
using IssueType = Hl7.Fhir.Model.OperationOutcome.IssueType;

namespace EarReferral.Gateway.Referrals;

/// <summary>What a receiver says about the work on a referral, however it came: told by it, or read from it.</summary>
/// <param name="Reach">Whose Tasks it may speak of.</param>
/// <param name="Actor">Who brought it, for timeline and audit.</param>
/// <param name="TaskId">Id of our Task.</param>
/// <param name="Sent">The Task as it came.</param>
/// <param name="Body">The bytes as they came, kept where it is not applied.</param>
internal sealed record TaskReport(Reach Reach, string Actor, string TaskId, FhirTask Sent, byte[] Body)
{
    /// <summary>The id in the address; null when the Task was found by its identifier.</summary>
    public string? Address { get; init; }

    /// <summary>Versions of our Task that it may start from; null where none was asked for, because it was read from the receiver.</summary>
    public IReadOnlyList<string>? Versions { get; init; }

    /// <summary>What stands before the rest of the line in the timeline.</summary>
    public string? Words { get; init; }
}

/// <summary>What became of a report.</summary>
internal abstract record TaskReportOutcome
{
    /// <summary>Applied, or said before.</summary>
    /// <param name="Task">Our Task afterwards.</param>
    /// <param name="Changed">False when it said nothing new.</param>
    public sealed record Taken(StoredResource Task, bool Changed) : TaskReportOutcome;

    /// <summary>It starts from another version than the newest.</summary>
    public sealed record Stale(long Version) : TaskReportOutcome;

    /// <summary>The Task changed while it was judged.</summary>
    public sealed record ChangedMeanwhile : TaskReportOutcome;

    /// <summary>Kept for review and not applied.</summary>
    /// <param name="Reason">Word under which it is kept.</param>
    /// <param name="Status">HTTP status for a receiver that told it.</param>
    /// <param name="Code">Code of the issue.</param>
    /// <param name="Sentence">Why, in words.</param>
    /// <param name="Expression">Where in the Task.</param>
    public sealed record NotApplied(string Reason, int Status, IssueType Code, string Sentence, string? Expression) : TaskReportOutcome;
}
