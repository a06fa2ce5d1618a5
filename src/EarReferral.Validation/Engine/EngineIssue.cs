using System.Globalization;
using System.Text.RegularExpressions;
using Hl7.Fhir.Model;
using Hl7.Fhir.Utility;

namespace EarReferral.Validation.Engine;

/// <summary>Turns an issue of the engine into ours.</summary>
internal static partial class EngineIssue
{
    // Numbers of Firely.Fhir.Validation: a terminology question that nobody here could answer.
    private const int TerminologyServiceFailed = 6004;

    public static ValidationIssue Translate(OperationOutcome.IssueComponent issue, string place)
    {
        var text = issue.Details?.Text ?? issue.Diagnostics ?? "No text.";
        var number = issue.Details?.Coding.Select(coding => int.TryParse(coding.Code, NumberStyles.None, CultureInfo.InvariantCulture, out var code) ? code : 0).FirstOrDefault() ?? 0;
        return new ValidationIssue(
            SeverityOf(issue, number),
            issue.Code?.GetLiteral() ?? "processing",
            Relocate(issue.Expression.FirstOrDefault(), place),
            InvariantKey().Match(text) is { Success: true } match ? match.Groups["key"].Value : $"engine-{number}",
            text);
    }

    private static IssueSeverity SeverityOf(OperationOutcome.IssueComponent issue, int number) => issue.Severity switch
    {
        OperationOutcome.IssueSeverity.Fatal or OperationOutcome.IssueSeverity.Error => IssueSeverity.Error,

        // The engine only warns when it could not check; the terminology failures that are left here concern no required binding.
        OperationOutcome.IssueSeverity.Warning when number == TerminologyServiceFailed => IssueSeverity.Information,
        OperationOutcome.IssueSeverity.Warning when number is >= 2000 and < 5000 => IssueSeverity.Error,
        OperationOutcome.IssueSeverity.Warning => IssueSeverity.Warning,
        OperationOutcome.IssueSeverity.Information or OperationOutcome.IssueSeverity.Success => IssueSeverity.Information,
        null => IssueSeverity.Error,
    };

    private static string Relocate(string? expression, string place) =>
        expression?.IndexOf('.', StringComparison.Ordinal) is { } dot and >= 0 ? place + expression[dot..] : place;

    [GeneratedRegex("""constraint (?<key>[a-z0-9]+(-[a-z0-9]+)*)\b""", RegexOptions.CultureInvariant)]
    private static partial Regex InvariantKey();
}
