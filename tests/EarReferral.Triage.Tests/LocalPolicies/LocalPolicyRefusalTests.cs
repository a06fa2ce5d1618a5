using System.Text;
using EarReferral.Triage.Rules;

namespace EarReferral.Triage.Tests.LocalPolicies;

/// <summary>What is refused in a local policy, one row for each refusal.</summary>
public sealed class LocalPolicyRefusalTests
{
    private const string TwoDays = """
        "deadline": { "value": 48, "unit": "h" }, "timeLimit": "within 48 hours", "patientText": "Within 48 hours."
        """;

    [Theory]
    [InlineData("R-CX-04", TwoDays, "R-CX-04 (T1) is weakened (deadline)", "a longer deadline")]
    [InlineData("R-CX-04", "\"tier\": \"T3\", \"deadline\": { \"value\": 24, \"unit\": \"h\" }, \"timeLimit\": \"t\", \"patientText\": \"p\"", "is weakened (tier)", "a lower tier")]
    [InlineData("R-CA-03", "\"tier\": \"T2\", \"deadline\": { \"value\": 14, \"unit\": \"d\" }, \"timeLimit\": \"t\", \"patientText\": \"p\"", "is weakened (tier)", "off the suspected-cancer pathway")]
    [InlineData("R-CX-04", "\"condition\": \"%painPresent\", \"reason\": \"r\"", "is weakened (condition)", "another condition")]
    [InlineData("R-TN-01", "\"remove\": true", "R-TN-01 (T0) is weakened (removal)", "a rule removed")]
    [InlineData("R-WX-06", "\"remove\": true", "R-WX-06 (T4) is weakened (removal)", "a warning removed")]
    [InlineData("R-CX-05", "\"remove\": true", "R-CX-05 (T3) is weakened (removal)", "a routine rule removed: only its time limit is free")]
    public void Weakening_without_a_name_is_refused(string rule, string members, string problem, string why) => Refused(Overlay.Rule(rule, members), problem, why);

    [Theory]
    [InlineData("removal", "", "is weakened (deadline)", "a name for something else")]
    [InlineData("removal", "", "accepts a weakening (removal) that the policy does not make", "a name for something that is not there")]
    [InlineData("deadline", "2026-10-28|2026-11-03", "after the date of the policy", "signed after the policy")]
    [InlineData("deadline", "2026-10-28|28.10.2026", "is not a day", "a date of another form")]
    [InlineData("deadline", "\"name\": \"Dr Imogen Tarrant\", |", "accepted/name: is missing", "no name")]
    [InlineData("deadline", "Dr Imogen Tarrant| ", "accepted/name: is empty", "a blank name")]
    [InlineData("deadline", "\"role\": \"medical director\", |", "accepted/role: is missing", "no role")]
    [InlineData("deadline", "\"date\": \"2026-10-28\", |", "accepted/date: is missing", "no date")]
    [InlineData("deadline", "\"reason\": \"Agreed with the hospital.\", |", "accepted/reason: is missing", "no reason")]
    [InlineData("everything", "", "'everything' is none of deadline, tier, condition, removal", "a signature for all")]
    public void Weakening_with_an_unfit_signature_is_refused(string weakens, string edit, string problem, string why)
    {
        var accepted = Overlay.AcceptedFor(weakens);
        if (edit.Split('|') is [var old, var replacement])
        {
            Assert.Contains(old, accepted, StringComparison.Ordinal);
            accepted = accepted.Replace(old, replacement, StringComparison.Ordinal);
        }

        Refused(Overlay.Rule("R-CX-04", $"{TwoDays}, {accepted}"), problem, why);
    }

    [Fact]
    public void Name_for_one_rule_does_not_cover_another() => Refused(
        Overlay.With($$"""
            "rules": [{ "rule": "R-CX-04", "why": "w", {{TwoDays}}, {{Overlay.AcceptedFor("deadline")}} }, { "rule": "R-CX-03", "why": "w", {{TwoDays}} }]
            """),
        "R-CX-03 (T1) is weakened (deadline)",
        "exactly that rule");

    [Theory]
    [InlineData("\"tier\": \"T1\", \"deadline\": { \"value\": 7, \"unit\": \"d\" }, \"timeLimit\": \"t\", \"patientText\": \"p\"", "7 days is longer than T1 allows, 24 hours", "a tier in name only")]
    [InlineData("\"tier\": \"T1\"", "deadline: is missing", "a tier without its time")]
    [InlineData("\"deadline\": { \"value\": 7, \"unit\": \"d\" }, \"timeLimit\": \"t\"", "patientText: is missing", "the patient would be told the old time")]
    [InlineData("\"destination\": \"audiology\"", "patientText: is missing", "the patient would be told the old receiver")]
    [InlineData("\"destination\": \"none\", \"patientText\": \"p\"", "'none' is no receiver", "sent nowhere")]
    [InlineData("\"destination\": \"ENT\", \"patientText\": \"p\"", "'ENT' is no receiver", "a receiver that nobody knows")]
    [InlineData("\"condition\": \"%painPresent\"", "reason: is missing", "the clinician would be told the old condition")]
    [InlineData("\"condition\": \"%pain\", \"reason\": \"r\"", "unknown variable %pain", "a condition that is checked like any other")]
    [InlineData("\"tier\": \"t1\"", "'t1' is none of", "a tier that does not exist")]
    [InlineData("\"deadline\": { \"value\": 0, \"unit\": \"d\" }", "is not a whole number from 1 to 1000", "no time at all")]
    [InlineData("\"deadline\": { \"value\": 1.5, \"unit\": \"d\" }", "is not a whole number from 1 to 1000", "half a day")]
    [InlineData("\"deadline\": { \"value\": 7, \"unit\": \"days\" }", "'days' is none of h, d", "a unit of another form")]
    [InlineData("\"deadine\": { \"value\": 7, \"unit\": \"d\" }", "deadine: is not a member that is known here", "a typing error")]
    [InlineData("\"remove\": false", "remove: is not true", "a removal that is none")]
    [InlineData("\"remove\": true, \"reason\": \"r\"", "cannot be changed as well", "removed and changed")]
    [InlineData("\"reason\": \"a\", \"reason\": \"b\"", "overlay.json: ", "a member given twice")]
    public void Flawed_entry_is_refused(string members, string problem, string why) => Refused(Overlay.Rule("R-HL-02", members), problem, why);

    [Theory]
    [InlineData("\"rules\": [{ \"rule\": \"R-XX-01\", \"why\": \"w\", \"remove\": true }]", "there is no published rule R-XX-01", "a rule that does not exist")]
    [InlineData("\"rules\": [{ \"rule\": \"R-HL-02\", \"why\": \"w\" }, { \"rule\": \"R-HL-02\", \"why\": \"w\" }]", "R-HL-02 is named twice", "two entries for one rule")]
    [InlineData("\"rules\": [{ \"rule\": \"R-HL-02\" }]", "rules/0/why: is missing", "no reason given")]
    [InlineData("\"rules\": {}", "rules: is not a list", "another form")]
    [InlineData("\"destinations\": [{ \"from\": \"emergency\", \"to\": \"gp\", \"why\": \"w\" }]", "no T2, T2C or T3 rule goes to 'emergency'", "emergencies redirected all at once")]
    [InlineData("\"destinations\": [{ \"from\": \"gp\", \"to\": \"none\", \"why\": \"w\" }]", "'none' is no receiver", "all sent nowhere")]
    [InlineData("\"routine\": { \"from\": { \"value\": 14, \"unit\": \"h\" }, \"to\": { \"value\": 1, \"unit\": \"d\" }, \"timeLimit\": \"t\", \"why\": \"w\" }", "no T3 rule has the time limit of 14 hours", "nothing to change")]
    [InlineData("\"add\": [\"R-HLE-02\"]", "R-HLE-02.json: added by overlay.json, but not beside it", "a missing file")]
    public void Flawed_policy_is_refused(string members, string problem, string why) => Refused(Overlay.With(members), problem, why);

    [Theory]
    [InlineData("overlay.json", "\"base\": \"1.0.0\"", "\"base\": \"0.9.0\"", "written for version 0.9.0", "written for another set")]
    [InlineData("overlay.json", "\"site\": \"harbour-lane\"", "\"site\": \"Harbour Lane\"", "is not lower-case letters", "an id that no canonical URL may carry")]
    [InlineData("overlay.json", "\"date\": \"2026-11-02\",", "", "date: is missing", "no date")]
    [InlineData("overlay.json", "\"add\": [\"R-HLE-01\"],", "", "R-HLE-01.json: not listed under add", "a rule that nobody listed")]
    [InlineData("R-HLE-01.json", "\"value\": \"R-HLE-01\"", "\"value\": \"R-HL-01\"", "the number R-HL-01 belongs to a published rule", "a rule that could hide a published one")]
    [InlineData("R-HLE-01.json", "\"valueCode\": \"T2\"", "\"valueCode\": \"T1\"", "7 days is longer than T1 allows", "a tier in name only")]
    [InlineData("R-HLE-01.json", "\"value\": 7", "\"value\": -7", "not from 1 to 1000", "due before it was seen")]
    [InlineData("R-HLE-01.json", "\"valueCode\": \"ent\"", "\"valueCode\": \"dentist\"", "'dentist' is no receiver", "a receiver that nobody knows")]
    [InlineData("R-HLE-01.json", "%canalSwollen", "%canalSwolen", "unknown variable %canalSwolen", "a typing error in a variable")]
    [InlineData("R-HLE-01.json", "\"id\": \"R-HLE-01\"", "\"id\": \"R-HLE-02\"", "do not match the index", "a file under another name")]
    public void Flaw_in_the_worked_example_is_found(string file, string old, string replacement, string problem, string why)
    {
        var overlay = Overlay.Example();
        var index = overlay.FindIndex(each => each.Name == file);
        var text = Encoding.UTF8.GetString(overlay[index].Content);
        Assert.Contains(old, text, StringComparison.Ordinal);
        overlay[index] = (file, Encoding.UTF8.GetBytes(text.Replace(old, replacement, StringComparison.Ordinal)));

        Refused(overlay, problem, why);
    }

    [Fact]
    public void File_with_the_name_of_a_published_rule_is_refused()
    {
        var overlay = Overlay.With("\"add\": [\"R-CA-03\"]");
        overlay.Add(RuleBookFiles.Read().Single(file => file.Name == "R-CA-03.json"));

        Refused(overlay, "a published rule is changed by an entry under rules, never by a file", "weakened by a file");
    }

    [Fact]
    public void Folder_without_policy_is_refused() => Refused([], "overlay.json: expected exactly one", "a policy that was not found is not no policy");

    [Fact]
    public void All_problems_are_named_at_once()
    {
        var problems = Overlay.Problems(Overlay.With("""
            "sitee": 1, "rules": [{ "rule": "R-HL-02", "tier": "T9" }, { "rule": 7, "why": "" }]
            """));

        Assert.Equal(
            [
                "overlay.json/rules/0/tier: 'T9' is none of T4, T3, T2C, T2, T1, T0", "overlay.json/rules/0/why: is missing",
                "overlay.json/rules/1/rule: is not a text", "overlay.json/rules/1/why: is empty", "overlay.json/sitee: is not a member that is known here",
            ],
            problems.Order(StringComparer.Ordinal));
    }

    [Fact]
    public void Full_check_finds_what_is_published_wrong_in_a_rule_of_the_site()
    {
        var overlay = Overlay.Example();
        var index = overlay.FindIndex(each => each.Name == "R-HLE-01.json");
        overlay[index] = (overlay[index].Name, Encoding.UTF8.GetBytes(Encoding.UTF8.GetString(overlay[index].Content).Replace("\"status\"", "\"state\"", StringComparison.Ordinal)));

        Assert.Contains(RuleBook.Check(RuleBookFiles.Read(), overlay), problem => problem.StartsWith("R-HLE-01.json", StringComparison.Ordinal));
    }

    private static void Refused(List<(string Name, byte[] Content)> overlay, string problem, string why)
    {
        var problems = Overlay.Problems(overlay);

        Assert.True(problems.Any(text => text.Contains(problem, StringComparison.Ordinal)), $"{why}: {string.Join("; ", problems)}");
    }
}
