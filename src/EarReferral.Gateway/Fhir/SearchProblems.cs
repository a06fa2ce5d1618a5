using EarReferral.Storage.Search;
using Hl7.Fhir.Model;
using IssueType = Hl7.Fhir.Model.OperationOutcome.IssueType;

namespace EarReferral.Gateway.Fhir;

/// <summary>What is said about a search beside its matches.</summary>
internal static class SearchProblems
{
    /// <summary>The problems of a search as issues.</summary>
    public static OperationOutcome Outcome(IReadOnlyList<SearchProblem> problems, OperationOutcome.IssueSeverity severity) => new()
    {
        Issue =
        [
            .. problems.Select(problem => new OperationOutcome.IssueComponent
            {
                Severity = severity,
                Code = problem.Code switch
                {
                    "malformed-value" => IssueType.Value,
                    "too-costly" => IssueType.TooCostly,
                    "unknown-parameter" or "unknown-modifier" or "unknown-sort" or "unknown-include" or "unknown-type" => IssueType.NotSupported,
                    var code => throw new InvalidOperationException($"{code} is not a search problem."),
                },
                Diagnostics = problem.Parameter.Length == 0 ? problem.Sentence : $"{problem.Parameter}: {problem.Sentence}",
            }),
        ],
    };

    /// <summary>What a reader of the answer must know about it; null when nothing.</summary>
    public static OperationOutcome? Remarks(IReadOnlyList<SearchProblem> ignored, SearchPage page)
    {
        var outcome = Outcome(ignored, OperationOutcome.IssueSeverity.Warning);
        if (page.Withheld > 0)
        {
            // Silence would say that there is no record; what is said is that there is one and that nobody knows yet whose it is.
            outcome.Issue.Add(Warning(IssueType.Suppressed, $"Not complete: {page.Withheld} patient record(s) with this NHS number are withheld, because what clinics recorded contradicts itself about who the patient is. They appear once the clinic has settled it."));
        }

        if (page.IsCutShort)
        {
            outcome.Issue.Add(Warning(IssueType.Incomplete, "Not complete: more was to be included than one page carries. Ask again with a smaller _count."));
        }

        return outcome.Issue.Count == 0 ? null : outcome;
    }

    private static OperationOutcome.IssueComponent Warning(IssueType code, string sentence) =>
        new() { Severity = OperationOutcome.IssueSeverity.Warning, Code = code, Diagnostics = sentence };
}
