using EarReferral.Triage.Decisions;
using EarReferral.Triage.Rules;

namespace EarReferral.Triage.Tests;

public sealed class RuleBookTests
{
    [Theory]
    [InlineData("R-CA-03.json", "%headAndNeckThyroidLump", "%thyroidlump", "unknown variable %thyroidlump", "a typing error in a variable")]
    [InlineData("R-CA-03.json", "%headAndNeckThyroidLump", "%headAndNeckThyroidLump and and", "not FHIRPath", "text that does not compile")]
    [InlineData("R-CA-03.json", "%headAndNeckThyroidLump", "%vertigoNystagmus", "is not Boolean", "a result that is not Boolean")]
    [InlineData("R-CA-03.json", "%headAndNeckThyroidLump", "%vertigoNystagmus in ('vertical' | 'rotatory')", "'in' is not allowed", "an operator that says false for a missing value")]
    [InlineData("R-CA-03.json", "%headAndNeckThyroidLump", "%painPresent", "cannot use %painPresent of one ear", "a fact of an ear in a rule for the patient")]
    [InlineData("R-HL-02.json", "%daysSinceHearingOnset > 30", "%daysSinceHearingOnset > 30 and %daysSinceHearingOnset < 60", "both directions", "limits between which a partial date would be missed")]
    [InlineData("R-HL-02.json", "%daysSinceHearingOnset > 30", "%daysSinceHearingOnset > 30 and %daysSinceHearingOnset.exists($this > 60).not()", "both directions", "a window made with not()")]
    [InlineData("R-HL-02.json", "%daysSinceHearingOnset > 30", "%daysSinceHearingOnset > 30 and 60 > %daysSinceHearingOnset", "both directions", "a window with the limit written first")]
    [InlineData("R-CA-03.json", "%headAndNeckThyroidLump", "%vertigoNystagmus = 3", "never true", "a code compared with a number")]
    [InlineData("R-CA-03.json", "%headAndNeckThyroidLump", "%vertigoNystagmus.exists($this)", "is not Boolean", "a criterion that is not Boolean")]
    [InlineData("R-HL-02.json", "\"valueBoolean\": true", "\"valueCode\": \"yes\"", "neither true nor false", "a mark that cannot be read")]
    [InlineData("R-CA-03.json", "\"id\": \"R-CA-03\"", "\"id\": \"R-CA-03\", \"id\": \"R-CA-03\"", "R-CA-03.json", "a member given twice")]
    [InlineData("R-CA-03.json", "\"valueCode\": \"T2C\"", "\"valueCode\": \"T9\"", "tier", "a tier that does not exist")]
    [InlineData("R-CA-03.json", "\"id\": \"R-CA-03\"", "\"id\": \"R-CA-04\"", "do not match the index", "a file under another name")]
    [InlineData("rule-book.json", "PlanDefinition/R-CA-03|1.0.0", "PlanDefinition/R-CA-02|1.0.0", "listed twice", "a rule listed twice")]
    [InlineData("rule-book.json", "\"name\": \"hearingAcquired\"", "\"name\": \"ageYears\"", "declared twice", "a variable declared twice")]
    [InlineData("rule-book.json", "\"name\": \"earlierCareAlreadyInvestigatedUnchanged\"", "\"name\": \"earlierCare\"", "earlierCareAlreadyInvestigatedUnchanged is missing", "no variable for what was investigated before")]
    public void Flawed_rule_book_is_not_loaded_and_says_what_is_wrong(string file, string old, string replacement, string problem, string why)
    {
        var error = Assert.Throws<InvalidRuleBookException>(() => RuleBook.Load(RuleBookFiles.With(file, old, replacement)));

        Assert.True(error.Problems.Any(text => text.Contains(problem, StringComparison.Ordinal)), $"{why}: {string.Join("; ", error.Problems)}");
    }

    [Fact]
    public void Committed_rule_book_passes_the_full_check() => Assert.Equal([], RuleBook.Check(RuleBookFiles.Read()));

    [Theory]
    [InlineData("rule-book.json", "entry.resource.ofType(Patient).birthDate", "entry.resource.ofType(Patient.birthDate", "the expression of 'ageYears' is not FHIRPath", "a variable whose published meaning cannot be compiled")]
    [InlineData("R-CA-03.json", "\"status\": \"draft\"", "\"state\": \"draft\"", "R-CA-03.json", "a member that FHIR does not know")]
    [InlineData("R-CA-03.json", "%headAndNeckThyroidLump", "%headAndNeckThyroidLump and and", "not FHIRPath", "what loading finds too")]
    public void Full_check_finds_what_is_published_wrong(string file, string old, string replacement, string problem, string why)
    {
        var problems = RuleBook.Check(RuleBookFiles.With(file, old, replacement));

        Assert.True(problems.Any(text => text.Contains(problem, StringComparison.Ordinal)), $"{why}: {string.Join("; ", problems)}");
    }

    [Fact]
    public void Suppressible_emergency_rule_is_not_loaded()
    {
        var files = RuleBookFiles.With("R-HL-02.json", "\"valueCode\": \"T2\"", "\"valueCode\": \"T1\"");

        var error = Assert.Throws<InvalidRuleBookException>(() => RuleBook.Load(files));

        Assert.Contains(error.Problems, text => text.Contains("can never be suppressed", StringComparison.Ordinal));
    }

    [Fact]
    public void Missing_and_unlisted_files_are_both_named()
    {
        var files = RuleBookFiles.Read();
        files.RemoveAll(file => file.Name == "R-HL-01.json");
        files.Add(("R-XX-01.json", "{}"u8.ToArray()));

        var error = Assert.Throws<InvalidRuleBookException>(() => RuleBook.Load(files));

        Assert.Contains(error.Problems, text => text.StartsWith("R-HL-01.json", StringComparison.Ordinal));
        Assert.Contains(error.Problems, text => text.StartsWith("R-XX-01.json", StringComparison.Ordinal));
    }

    [Fact]
    public void Hash_changes_with_any_byte_and_not_with_the_order_of_files()
    {
        var hash = RuleBookFiles.Book.Version.Sha256;
        var reversed = RuleBookFiles.Read();
        reversed.Reverse();

        Assert.Equal(hash, RuleBook.Load(reversed).Version.Sha256);
        Assert.NotEqual(hash, RuleBook.Load(RuleBookFiles.With("R-CA-03.json", "An unexplained thyroid lump.", "An unexplained lump of the thyroid.")).Version.Sha256);
        Assert.Matches("^[0-9a-f]{64}$", hash);
    }

    [Fact]
    public void Deadline_of_a_rule_is_that_of_its_tier_save_two()
    {
        // Time limits: NICE NG98 1.1.2 (24 hours, 2 weeks), NHS Constitution (18 weeks); 4 hours is our own proposal for the same visit.
        var limits = new Dictionary<Tier, Deadline>
        {
            [Tier.T0] = new(4, DeadlineUnit.Hours),
            [Tier.T1] = new(24, DeadlineUnit.Hours),
            [Tier.T2] = new(14, DeadlineUnit.Days),
            [Tier.T2C] = new(14, DeadlineUnit.Days),
            [Tier.T3] = new(126, DeadlineUnit.Days),
            [Tier.T4] = new(0, DeadlineUnit.Days),
        };

        // Review of a new hole at 6 to 8 weeks: it heals in about two months, common practice; 2 weeks for a drum not excluded is our own proposal.
        var exceptions = new Dictionary<string, Deadline> { ["R-TR-03"] = new(56, DeadlineUnit.Days), ["R-CX-08"] = new(14, DeadlineUnit.Days) };

        // The hole that has not healed has the number of the new one and is past that review.
        Assert.All(RuleBookFiles.Book.Rules, rule => Assert.Equal(
            rule.Canonical.Contains("R-TR-03-UNHEALED", StringComparison.Ordinal) ? limits[rule.Tier] : exceptions.GetValueOrDefault(rule.Id, limits[rule.Tier]), rule.Deadline));
    }

    [Fact]
    public void Rule_of_our_own_claims_no_guideline_and_patient_text_fits_every_reader()
    {
        Assert.All(RuleBookFiles.Book.Rules.Where(rule => rule.Provenance.StartsWith("our own proposal", StringComparison.Ordinal)),
            rule => Assert.StartsWith("Our own rule", rule.Source, StringComparison.Ordinal));

        // The reader may be the patient or a parent; only rules for children name the child.
        Assert.All(RuleBookFiles.Book.Rules.Where(rule => !rule.Condition.StartsWith("%ageYears < 18", StringComparison.Ordinal)),
            rule => Assert.DoesNotMatch(@"(?i)\b(you|your)\b", rule.PatientText));
    }

    [Fact]
    public void Day_deadline_keeps_the_time_on_the_wall_over_the_change_of_clocks()
    {
        // Clocks went forward in London on 29 March 2026 at 01:00 UTC.
        var london = TimeZoneInfo.FindSystemTimeZoneById("Europe/London");
        var decision = new DateTimeOffset(2026, 3, 20, 10, 0, 0, TimeSpan.Zero);

        Assert.Equal(new DateTimeOffset(2026, 4, 3, 10, 0, 0, TimeSpan.FromHours(1)), new Deadline(14, DeadlineUnit.Days).From(decision, london));
        Assert.Equal(decision.AddHours(24), new Deadline(24, DeadlineUnit.Hours).From(decision, london));
    }
}
