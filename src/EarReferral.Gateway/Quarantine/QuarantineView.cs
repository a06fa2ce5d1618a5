using System.ComponentModel;
using System.Text.Json;
using EarReferral.Storage.Quarantine;
using EarReferral.Validation;

namespace EarReferral.Gateway.Quarantine;

/// <summary>What our profiles said, as it is kept and shown.</summary>
internal sealed record QuarantineIssue(
    string Severity,
    string Code,
    [property: Description("FHIRPath to one node of the record, as if its resources were the entries of a Bundle.")] string Location,
    string Rule,
    [property: Description("May quote a value of the record.")] string Text)
{
    /// <summary>The issues of a report as they are kept; hints are left out.</summary>
    public static byte[] Bytes(ValidationReport report) => JsonSerializer.SerializeToUtf8Bytes(
        report.Issues
            .Where(issue => issue.Severity != IssueSeverity.Information)
            .Select(issue => new QuarantineIssue(JsonNamingPolicy.CamelCase.ConvertName(issue.Severity.ToString()), issue.Code, issue.Location, issue.RuleId, issue.Text)),
        JsonSerializerOptions.Web);

    /// <summary>The issues of a kept look.</summary>
    public static IReadOnlyList<QuarantineIssue> Of(RecordCheck check) => JsonSerializer.Deserialize<List<QuarantineIssue>>(check.Issues.Span, JsonSerializerOptions.Web)!;

    /// <summary>The rules that stand against a record, each once.</summary>
    public static IReadOnlyList<string> Rules(RecordCheck check) => [.. Of(check).Where(issue => issue.Severity == "error").Select(issue => issue.Rule).Distinct()];
}

/// <summary>A quarantined record in the list: ids, states and counts, nothing of what was found.</summary>
internal sealed record QuarantineItem(
    [property: Description("The encounter's own id here.")] Guid Id,
    string ClinicId,
    [property: Description("The clinic's own number of the visit.")] string EncounterId,
    int Revision,
    [property: Description("quarantined: nothing of it is sent or served. released: it has become a record.")] string State,
    [property: Description("Tier that the clinic was told.")] string Tier,
    [property: Description("T0 or T1 and still in quarantine: nothing was sent, so somebody must have phoned.")] bool PhoneNow,
    DateTimeOffset Since,
    [property: Description("How often it was looked at, the intake's own look included.")] int Checks,
    DateTimeOffset LastCheckedAt,
    [property: Description("Ids of the rules that the last look found broken.")] IReadOnlyList<string> Rules)
{
    /// <summary>The list's view of a record.</summary>
    public static QuarantineItem Of(QuarantinedRecord record)
    {
        var last = record.Checks[^1];
        return new QuarantineItem(
            record.Encounter.EncounterKey,
            record.Encounter.ClinicId,
            record.Encounter.ClinicEncounterId,
            record.Encounter.Revision,
            record.IsQuarantined ? "quarantined" : "released",
            record.Encounter.Tier,
            record.IsQuarantined && record.Encounter.Tier is "T0" or "T1",
            record.Encounter.ReceivedAt,
            record.Checks.Count,
            last.At,
            QuarantineIssue.Rules(last));
    }
}

internal sealed record QuarantineList(IReadOnlyList<QuarantineItem> Items, string? Next);

/// <summary>One look in the detail view.</summary>
internal sealed record QuarantineCheck(DateTimeOffset At, string? Person, string? Reason, bool Passed, string Software, IReadOnlyList<QuarantineIssue> Issues);

/// <summary>A quarantined record with everything that is known about why.</summary>
internal sealed record QuarantineDetail(
    QuarantineItem Record,
    [property: Description("Address of the receipt, with decision and whom to phone.")] Uri Receipt,
    [property: Description("Every look at it, oldest first; the first is the intake's.")] IReadOnlyList<QuarantineCheck> Checks)
{
    /// <summary>The detail view of a record.</summary>
    public static QuarantineDetail Of(QuarantinedRecord record, Uri publicBaseUrl) => new(
        QuarantineItem.Of(record),
        new Uri(publicBaseUrl, $"encounters/{record.Encounter.EncounterKey}"),
        [.. record.Checks.Select(check => new QuarantineCheck(check.At, check.Person, check.Reason, check.Passed, check.Software, QuarantineIssue.Of(check)))]);
}
