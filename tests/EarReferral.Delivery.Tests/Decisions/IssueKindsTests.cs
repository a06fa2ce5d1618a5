using EarReferral.Delivery.Decisions;
using Hl7.Fhir.Model;
using Hl7.Fhir.Utility;

namespace EarReferral.Delivery.Tests.Decisions;

public sealed class IssueKindsTests
{
    [Fact] // http://hl7.org/fhir/ValueSet/issue-type|4.0.1 as compiled into the FHIR library
    public void Every_issue_type_of_R4_has_a_group()
    {
        // The library shares one list among versions; these two came after R4.
        var codes = Enum.GetValues<OperationOutcome.IssueType>().Select(type => type.GetLiteral()).Except(["success", "limited-filter"]).ToList();

        Assert.True(codes.Count >= 30);
        Assert.DoesNotContain(codes, code => IssueKinds.Of(code) is IssueKind.Unknown);
    }

    [Fact]
    public void Worst_severity_decides_and_not_the_first_issue() =>
        Assert.Equal(IssueKind.Invalid, IssueKinds.Worst([Issue("warning", "timeout"), Issue("error", "required"), Issue("information", "informational")]));

    [Fact]
    public void Among_equally_severe_issues_the_final_one_decides() =>
        Assert.Equal(IssueKind.Processing, IssueKinds.Worst([Issue("error", "timeout"), Issue("error", "business-rule")]));

    [Fact]
    public void Severity_that_R4_does_not_have_counts_as_error() =>
        Assert.Equal(IssueKind.Invalid, IssueKinds.Worst([Issue("warning", "timeout"), Issue("grave", "value")]));

    [Fact]
    public void No_issue_says_nothing() => Assert.Equal(IssueKind.Unknown, IssueKinds.Worst([]));

    private static AnswerIssue Issue(string severity, string code) => new(severity, code, null, null);
}
