using EarReferral.Triage.Evaluation;
using EarReferral.Triage.Rules;

namespace EarReferral.Triage.Tests;

/// <summary>The small parser of conditions against the FHIRPath library's own parser.</summary>
public sealed class ConditionParserTests
{
    public static TheoryData<string> Canonicals { get; } = [.. RuleBookFiles.Book.Rules.Select(rule => rule.Canonical)];

    [Theory]
    [MemberData(nameof(Canonicals))]
    public void Condition_of_every_rule_is_split_as_the_library_splits_it(string canonical)
    {
        var rule = RuleBookFiles.Book.Rules.Single(candidate => candidate.Canonical == canonical);
        var reader = new ConditionReader(RuleBookFiles.Definitions);

        var small = Assert.IsAssignableFrom<ConditionSyntax>(reader.Syntax(rule.Condition));

        Assert.Equal(Shape(new ConditionCompiler().Compile(reader.Expand(rule.Condition))), Shape(new ConditionCompiler().Compile(small)));
    }

    [Fact]
    public void Every_part_of_the_committed_rules_is_answered_without_the_engine() =>
        Assert.All(RuleBookFiles.Book.CompiledRules.SelectMany(rule => rule.Condition.Leaves), leaf => Assert.True(leaf.Direct is not null, leaf.Syntax?.ToString()));

    [Theory]
    [InlineData("%a or %b and %c", "(%a or (%b and %c))", "and binds closer than or: FHIRPath 2.0.0, section 8.1")]
    [InlineData("%a and %b or %c", "((%a and %b) or %c)", "the same, from the other side")]
    [InlineData("%a or %b or %c", "((%a or %b) or %c)", "operators of one rank are read from the left")]
    [InlineData("%a = 'x' and %b >= 3", "((%a = 'x') and (%b >= 3))", "comparison binds closer than and")]
    [InlineData("(%a or %b).not()", "(%a or %b).not()", "a function applies to what stands in brackets before it")]
    [InlineData("%a or %b.not()", "(%a or %b.not())", "and else to the last variable only")]
    [InlineData("iif(%a.exists(), true, %b . where( $this='x' ) != 'x')", "iif(%a.exists(), true, (%b.where(($this = 'x')) != 'x'))", "white space may stand anywhere between words")]
    [InlineData("%order or %android", "(%order or %android)", "a word within a name is not an operator")]
    public void Condition_is_read_by_the_precedence_of_the_language(string text, string tree, string why)
    {
        Assert.True(ConditionParser.Parse(text)?.ToString() == tree, $"{why}: {ConditionParser.Parse(text)}");

        Assert.Equal(Shape(new ConditionCompiler().Compile(text)), Shape(new ConditionCompiler().Compile(ConditionParser.Parse(text)!)));
    }

    [Theory]
    [InlineData("%a = %b = %c", "a chain of comparisons")]
    [InlineData("%a > 3.5", "a fraction")]
    [InlineData("%a > 3 days", "a quantity with a unit")]
    [InlineData("%a > @2026-01-01", "a date")]
    [InlineData("%a + 1 > 3", "arithmetic")]
    [InlineData("%a = 'it\\'s'", "an escape in a string")]
    [InlineData("%a.count() > 1", "another function")]
    [InlineData("%a | %b", "a union")]
    [InlineData("%a in ('x')", "in")]
    [InlineData("%a xor %b", "xor")]
    [InlineData("%a implies %b", "implies")]
    [InlineData("%a !~ 'x'", "equivalence")]
    [InlineData("%a and", "nothing after and")]
    [InlineData("(%a", "an open bracket")]
    [InlineData("%a) and (%b", "brackets the wrong way round")]
    [InlineData("%a.exists(,)", "an empty argument")]
    [InlineData("%a and 'x", "an open string")]
    [InlineData("painPresent", "a bare word")]
    [InlineData("$index = 1", "another axis")]
    [InlineData("%a // and %b", "a comment")]
    [InlineData("", "nothing")]
    public void Anything_else_is_left_to_the_library(string text, string why) => Assert.True(ConditionParser.Parse(text) is null, why);

    [Fact]
    public void Condition_outside_the_small_grammar_is_still_evaluated()
    {
        var files = RuleBookFiles.With("R-CA-04.json", "%canalLesionScore >= 3", "%canalLesionScore + 1 > 3.5");

        var rule = RuleBook.Load(files).CompiledRules.Single(compiled => compiled.Rule.Id == "R-CA-04");

        var leaf = Assert.Single(rule.Condition.Leaves, leaf => leaf.Syntax is null && leaf.Variables.Contains("canalLesionScore"));
        Assert.Equal(Certainty.True, leaf.Holds(new Facts([Score(3)], leaf.Number + 1, "right")));
        Assert.Equal(Certainty.False, leaf.Holds(new Facts([Score(2)], leaf.Number + 1, "right")));
        Assert.Equal(Certainty.Unknown, leaf.Holds(new Facts([Score(null)], leaf.Number + 1, "right")));

        static Fact Score(int? score) =>
            new(RuleBookFiles.Book.Variables["canalLesionScore"], score is { } number ? new Hl7.Fhir.Model.FhirDecimal(number) : null);
    }

    /// <summary>The logical operators with the variables of each leaf; what a leaf answers is compared on every vector elsewhere.</summary>
    private static string Shape(Condition condition) => condition switch
    {
        Condition.And both => $"({Shape(both.Left)} and {Shape(both.Right)})",
        Condition.Or either => $"({Shape(either.Left)} or {Shape(either.Right)})",
        Condition.Not negation => $"not {Shape(negation.Operand)}",
        Condition.Choice choice => $"iif({Shape(choice.Test)}, {Shape(choice.Then)}, {Shape(choice.Otherwise)})",
        Leaf leaf => $"[{string.Join(' ', leaf.Variables)}]",
        _ => throw new InvalidOperationException("another kind of condition"),
    };
}
