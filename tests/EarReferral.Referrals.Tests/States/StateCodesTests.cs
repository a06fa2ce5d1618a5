using EarReferral.Referrals.States;

namespace EarReferral.Referrals.Tests.States;

public sealed class StateCodesTests
{
    [Fact] // FHIR R4 value set task-status, http://hl7.org/fhir/ValueSet/task-status|4.0.1
    public void Execution_codes_are_those_of_the_R4_value_set()
    {
        string[] published = ["draft", "requested", "received", "accepted", "rejected", "ready", "cancelled", "in-progress", "on-hold", "failed", "completed", "entered-in-error"];

        Assert.Equal(published, Enum.GetValues<ExecutionStatus>().Select(status => status.Code()));
    }

    [Fact] // FHIR R4 value set request-status, http://hl7.org/fhir/ValueSet/request-status|4.0.1
    public void Authorisation_codes_are_those_of_the_R4_value_set()
    {
        string[] published = ["draft", "active", "on-hold", "revoked", "completed", "entered-in-error", "unknown"];

        Assert.Equal(published, Enum.GetValues<AuthorisationStatus>().Select(status => status.Code()));
    }

    [Fact]
    public void Codes_read_back_as_what_was_written()
    {
        Assert.All(Enum.GetValues<ExecutionStatus>(), status => Assert.Equal(status, StateCodes.Execution(status.Code())));
        Assert.All(Enum.GetValues<AuthorisationStatus>(), status => Assert.Equal(status, StateCodes.Authorisation(status.Code())));
        Assert.All(Enum.GetValues<BusinessStatus>(), status => Assert.Equal(status, StateCodes.Business(status.Code())));
    }

    [Theory]
    [InlineData("InProgress")] // the name is not the code
    [InlineData("in progress")]
    [InlineData("")]
    public void Anything_else_is_no_code(string code) => Assert.Null(StateCodes.Execution(code));

    [Theory]
    [InlineData("9", "10", 1)] // as numbers, not as text
    [InlineData("10", "9", -1)]
    [InlineData("2", "2", 0)]
    public void Numbered_versions_compare_as_numbers_whatever_the_clock_says(string known, string update, int sign)
    {
        var now = new DateTimeOffset(2026, 3, 2, 10, 0, 0, TimeSpan.Zero);

        Assert.Equal(sign, Math.Sign(new TaskVersion(update, now).CompareAge(new TaskVersion(known, now.AddHours(1)))));
    }

    [Fact] // FHIR R4: versionId is opaque
    public void Opaque_versions_compare_by_last_modified()
    {
        var now = new DateTimeOffset(2026, 3, 2, 10, 0, 0, TimeSpan.Zero);

        Assert.True(new TaskVersion("b7", now.AddSeconds(1)).CompareAge(new TaskVersion("c9", now)) > 0);
    }
}
