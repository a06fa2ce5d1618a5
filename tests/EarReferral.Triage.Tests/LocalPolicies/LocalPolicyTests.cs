using System.Text;
using EarReferral.Testing;
using EarReferral.Triage.Decisions;
using EarReferral.Triage.Evaluation;
using EarReferral.Triage.Rules;
using EarReferral.Triage.Tests.Vectors;

namespace EarReferral.Triage.Tests.LocalPolicies;

/// <summary>What a site may change about the published rules, one test for each kind of change.</summary>
public sealed class LocalPolicyTests
{
    private const string Week = """
        "deadline": { "value": 7, "unit": "d" }, "timeLimit": "within 1 week", "patientText": "We are asking for an urgent appointment within 1 week."
        """;

    [Fact]
    public void Worked_example_is_that_of_the_document_and_passes_the_full_check()
    {
        var document = File.ReadAllText(Repository.At("docs", "clinical", "local-policy.md"));

        Assert.Contains(File.ReadAllText(Repository.At("examples", "local-policy", "overlay.json")), document, StringComparison.Ordinal);
        Assert.Equal([], RuleBook.Check(RuleBookFiles.Read(), Overlay.Example()));
    }

    [Fact]
    public void Shorter_deadline_needs_nobody_and_stands_in_the_decision_with_version_and_source()
    {
        var book = Overlay.Load(Overlay.Rule("R-HL-02", Week));
        var vector = RuleVector.All.First(vector => vector is { Rule: "R-HL-02", Expect: Expectation.Fires });

        var decision = TriageEngine.Decide(book, VectorRecord.Of(vector), vector.EvaluatedAt, TimeZoneInfo.FindSystemTimeZoneById(vector.Zone));

        var fired = decision.Fired.First(rule => rule.Id == "R-HL-02");
        Assert.Equal("within 1 week", fired.TimeLimit);
        Assert.Equal(new Deadline(7, DeadlineUnit.Days).From(vector.EvaluatedAt, TimeZoneInfo.FindSystemTimeZoneById(vector.Zone)), fired.Due);
        Assert.Equal("Local policy of Harbour Lane Ear Care, 2026-11-02: 7 days instead of 14 days. Agreed with the hospital.; NICE NG98 1.1.2 (seen in the issuing body's text)", fired.Source);
        Assert.True(fired.IsOwnRule, "a week is not what the guideline says");
        Assert.EndsWith("/R-HL-02|1.0.0-local-harbour-lane-2026-11-02", fired.Canonical, StringComparison.Ordinal);
        Assert.Equal("1.0.0-local-harbour-lane-2026-11-02", decision.RuleBook.Version);
        Assert.NotEqual(RuleBookFiles.Book.Version.Sha256, decision.RuleBook.Sha256);
    }

    [Fact]
    public void Raised_to_24_hours_a_rule_is_never_silenced_and_asks()
    {
        var rule = Overlay.Of(Overlay.Load(Overlay.Rule("R-HL-02", """
            "tier": "T1", "deadline": { "value": 24, "unit": "h" }, "timeLimit": "within 24 hours", "patientText": "This needs to be seen by a hospital team within 24 hours."
            """)), "R-HL-02");

        Assert.Equal((Tier.T1, new Deadline(24, DeadlineUnit.Hours), false, true), (rule.Tier, rule.Deadline, rule.Suppressible, rule.Asks));
    }

    [Fact]
    public void Redirected_rule_keeps_its_guideline_as_source()
    {
        var rule = Overlay.Of(Overlay.Load(Overlay.Rule("R-HL-01", """
            "destination": "emergency", "patientText": "This needs to be seen by a hospital team within 24 hours."
            """)), "R-HL-01");

        Assert.Equal("emergency", rule.Destination);
        Assert.Equal("NICE NG98 1.1.2; NICE QS185 statement 2; Local policy of Harbour Lane Ear Care, 2026-11-02: to emergency instead of ent. Agreed with the hospital.", rule.Source);
    }

    [Fact]
    public void Receiver_of_all_but_the_emergencies_is_changed_at_once()
    {
        var published = RuleBookFiles.Book;
        var book = Overlay.Load(Overlay.With("""
            "destinations": [{ "from": "gp", "to": "ent", "why": "The hospital takes them directly." }]
            """));

        Assert.All(published.Rules.Zip(book.Rules), pair => Assert.Equal(
            pair.First is { Destination: "gp", Tier: not (Tier.T0 or Tier.T1) } ? "ent" : pair.First.Destination, pair.Second.Destination));
        Assert.Contains(book.Rules, rule => rule is { Tier: Tier.T1, Destination: "gp" });
        Assert.Equal(book.LocalChanges.Count, published.Rules.Count(rule => rule is { Destination: "gp", Tier: not (Tier.T0 or Tier.T1) }));
    }

    [Theory]
    [InlineData(84, "shorter")]
    [InlineData(182, "longer: the time of a routine referral is a local matter")]
    public void Routine_time_limit_is_the_sites_and_leaves_rules_with_a_limit_of_their_own(int days, string why)
    {
        var book = Overlay.Load(Overlay.With($$"""
            "routine": { "from": { "value": 126, "unit": "d" }, "to": { "value": {{days}}, "unit": "d" }, "timeLimit": "local pathway", "why": "The hospital says so." }
            """));

        Assert.All(RuleBookFiles.Book.Rules.Zip(book.Rules), pair => Assert.True(
            pair.Second.Deadline == (pair.First.Deadline == new Deadline(126, DeadlineUnit.Days) ? new Deadline(days, DeadlineUnit.Days) : pair.First.Deadline), $"{why}: {pair.First.Id}"));
        Assert.Equal(new Deadline(56, DeadlineUnit.Days), Overlay.Of(book, "R-TR-03").Deadline);
    }

    [Fact]
    public void Rule_of_the_site_decides_and_claims_no_guideline()
    {
        var book = Overlay.Load(Overlay.Example());
        var rule = Overlay.Of(book, "R-HLE-01");

        Assert.Equal(RuleBookFiles.Book.Rules.Count + 1, book.Rules.Count);
        Assert.StartsWith("Local policy of Harbour Lane Ear Care, 2026-11-02: rule added; ", rule.Source, StringComparison.Ordinal);
        Assert.Contains(book.LocalChanges, change => change.StartsWith("R-HLE-01: ", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("R-CX-04", "deadline", "\"deadline\": { \"value\": 48, \"unit\": \"h\" }, \"timeLimit\": \"within 48 hours\", \"patientText\": \"Within 48 hours.\"")]
    [InlineData("R-CX-04", "tier", "\"tier\": \"T2\", \"deadline\": { \"value\": 24, \"unit\": \"h\" }, \"timeLimit\": \"within 24 hours\", \"patientText\": \"Within 24 hours.\"")]
    [InlineData("R-CX-04", "condition", "\"condition\": \"%painPresent\", \"reason\": \"The ear hurts.\"")]
    public void Weakening_is_taken_with_a_name_and_the_name_stands_in_the_source(string id, string weakening, string members)
    {
        var rule = Overlay.Of(Overlay.Load(Overlay.Rule(id, $"{members}, {Overlay.AcceptedFor(weakening)}")), id);

        Assert.Contains("Accepted by Dr Imogen Tarrant, medical director, 2026-10-28: Agreed with the hospital.", rule.Source, StringComparison.Ordinal);
        Assert.True(rule.Asks, "a rule that leaves T1 goes on asking: not asked is never no");
    }

    [Fact]
    public void Removed_rule_is_gone_and_still_named()
    {
        var book = Overlay.Load(Overlay.Rule("R-CX-04", $"\"remove\": true, {Overlay.AcceptedFor("removal")}"));

        Assert.DoesNotContain(book.Rules, rule => rule.Id == "R-CX-04");
        Assert.Contains(book.LocalChanges, change => change.StartsWith("R-CX-04: Local policy of Harbour Lane Ear Care, 2026-11-02: rule removed.", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("R-CX-04", 24, "h", "equal")]
    [InlineData("R-CX-04", 23, "h", "shorter")]
    [InlineData("R-HL-02", 14, "d", "equal")]
    [InlineData("R-HL-02", 335, "h", "14 days are 335 hours when the clocks go forward meanwhile")]
    [InlineData("R-CX-05", 127, "d", "T3: the time limit is a local matter")]
    public void Deadline_that_can_never_end_later_is_no_weakening(string id, int amount, string unit, string why) =>
        Assert.True(Overlay.Load(Overlay.Rule(id, Limit(amount, unit))).LocalChanges.Count == 1, why);

    [Theory]
    [InlineData("R-CX-04", 25, "h", "an hour more")]
    [InlineData("R-CX-04", 1, "d", "a day is 25 hours when the clocks go back")]
    [InlineData("R-HL-02", 15, "d", "a day more")]
    [InlineData("R-HL-02", 336, "h", "14 days are 335 hours when the clocks go forward")]
    [InlineData("R-CA-03", 15, "d", "suspected cancer")]
    public void Deadline_that_may_end_later_is_a_weakening(string id, int amount, string unit, string why) =>
        Assert.True(Overlay.Problems(Overlay.Rule(id, Limit(amount, unit))).Any(problem => problem.Contains("is weakened (deadline)", StringComparison.Ordinal)), why);

    [Fact]
    public void Hash_covers_every_byte_of_policy_and_set()
    {
        var overlay = Overlay.Rule("R-HL-02", Week);
        List<(string, byte[])> spaced = [(RuleBook.OverlayFile, [.. overlay[0].Content, .. Encoding.UTF8.GetBytes(" ")])];

        Assert.Equal(Overlay.Load(overlay).Version, Overlay.Load(overlay).Version);
        Assert.NotEqual(Overlay.Load(overlay).Version.Sha256, Overlay.Load(spaced).Version.Sha256);
        Assert.NotEqual(
            Overlay.Load(overlay).Version.Sha256,
            RuleBook.Load(RuleBookFiles.With("R-CA-03.json", "An unexplained thyroid lump.", "An unexplained lump of the thyroid."), overlay).Version.Sha256);
    }

    private static string Limit(int amount, string unit) =>
        $$"""
        "deadline": { "value": {{amount}}, "unit": "{{unit}}" }, "timeLimit": "as agreed", "patientText": "As agreed."
        """;
}
