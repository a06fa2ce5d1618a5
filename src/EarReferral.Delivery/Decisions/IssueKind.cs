using System.Collections.Frozen;

namespace EarReferral.Delivery.Decisions;

/// <summary>The five groups of http://hl7.org/fhir/issue-type (FHIR 4.0.1); the group says whether sending again can help.</summary>
internal enum IssueKind
{
    /// <summary>A code that R4 does not have; only the HTTP status counts.</summary>
    Unknown,

    /// <summary>For information.</summary>
    Informational,

    /// <summary>Passing trouble: the same content may succeed later.</summary>
    Transient,

    /// <summary>Only after somebody put the access right.</summary>
    Security,

    /// <summary>Final for this content.</summary>
    Processing,

    /// <summary>The content is wrong.</summary>
    Invalid,
}

/// <summary>Which group an issue code belongs to.</summary>
internal static class IssueKinds
{
    private static readonly FrozenDictionary<string, IssueKind> ByCode = new (IssueKind Kind, string[] Codes)[]
    {
        (IssueKind.Invalid, ["invalid", "structure", "required", "value", "invariant"]),
        (IssueKind.Security, ["security", "login", "unknown", "expired", "forbidden", "suppressed"]),
        (IssueKind.Processing, ["processing", "not-supported", "duplicate", "multiple-matches", "not-found", "deleted", "too-long", "code-invalid", "extension", "too-costly", "business-rule", "conflict"]),
        (IssueKind.Transient, ["transient", "lock-error", "no-store", "exception", "timeout", "incomplete", "throttled"]),
        (IssueKind.Informational, ["informational"]),
    }.SelectMany(group => group.Codes, (group, code) => (code, group.Kind)).ToFrozenDictionary(row => row.code, row => row.Kind, StringComparer.Ordinal);

    private static readonly string[] WorstFirst = ["fatal", "error", "warning", "information"];

    /// <summary>The group of a code.</summary>
    public static IssueKind Of(string code) => ByCode.GetValueOrDefault(code, IssueKind.Unknown);

    /// <summary>The group that decides: among the issues of the worst severity, the one least open to sending again.</summary>
    public static IssueKind Worst(IReadOnlyList<AnswerIssue> issues) => issues
        .GroupBy(issue => Rank(issue.Severity))
        .OrderBy(group => group.Key)
        .Select(group => group.Max(issue => Of(issue.Code)))
        .FirstOrDefault(IssueKind.Unknown);

    // A severity that R4 does not have counts as an error, not as a remark.
    private static int Rank(string severity) => Array.IndexOf(WorstFirst, severity) is >= 0 and var rank ? rank : 1;
}
