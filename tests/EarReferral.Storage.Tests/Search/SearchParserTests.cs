using EarReferral.Storage.Search;

namespace EarReferral.Storage.Tests.Search;

public sealed class SearchParserTests
{
    public static TheoryData<string, string, string, string> Refused { get; } = new()
    {
        { "date", "2024-13-01", "malformed-value", "no thirteenth month" },
        { "date", "2024-02-30", "malformed-value", "no such day" },
        { "date", "2024-03-10T09:15:00 01:00", "malformed-value", "a plus sign that was not encoded" },
        { "date", "xx2024-03-10", "malformed-value", "unknown prefix" },
        { "date", "yesterday", "malformed-value", "not a date" },
        { "date", "2024-03-10,", "malformed-value", "empty alternative" },
        { "code", "a|b|c", "malformed-value", "a token has one bar" },
        { "code", "\\x", "malformed-value", "the backslash escapes nothing" },
        { "patient", "Practitioner/p1", "malformed-value", "a patient parameter leads to patients" },
        { "patient:foo", "p1", "unknown-modifier", "ignoring a modifier would widen the answer" },
        { "code:text", "x", "unknown-modifier", "not supported, so refused" },
        { "patient:identifier", "x", "unknown-modifier", "a logical reference is not indexed, so refused" },
        { "_id:missing", "true", "unknown-modifier", "an id is never missing" },
        { "_total", "some", "malformed-value", "none, estimate or accurate" },
        { "date:missing", "perhaps", "malformed-value", "true or false" },
        { "_count", "-1", "malformed-value", "a page has no negative size" },
        { "_count", "many", "malformed-value", "a number" },
        { "_sort", "status", "unknown-sort", "no order by status" },
        { "_sort", "date,_id", "unknown-sort", "one key" },
        { "_id", "\\", "malformed-value", "the backslash escapes nothing" },
    };

    [Theory]
    [MemberData(nameof(Refused))]
    public void WrongParameter_IsRefusedByName(string name, string value, string code, string reason)
    {
        var parse = Parse("Procedure", ("patient", "p1"), (name, value));

        var problem = Assert.Single(parse.Problems);
        Assert.True(parse.Query is null && problem.AlwaysRefused, reason);
        Assert.Equal((code, name), (problem.Code, problem.Parameter));
    }

    [Theory]
    [InlineData("foo")]
    [InlineData("foo:exact")]
    [InlineData("performer.name")]
    public void UnknownParameter_IsLeftToTheCallerAndNotInTheSelfLink(string name)
    {
        var parse = Parse("Procedure", ("patient", "p1"), (name, "x"));

        Assert.Equal("unknown-parameter", Assert.Single(parse.Problems).Code);
        Assert.Equal(["patient"], parse.Query!.Effective.Select(parameter => parameter.Key));
    }

    [Theory]
    [InlineData("_include", "Procedure:encounter", true, "a reference of the type searched")]
    [InlineData("_include", "Procedure:performer:Practitioner", true, "one type of target")]
    [InlineData("_include", "Procedure:performer:Device", false, "a type that it never leads to")]
    [InlineData("_include", "Encounter:service-provider", false, "of another type, so nothing would come of it")]
    [InlineData("_include:iterate", "Encounter:service-provider", true, "of what was included")]
    [InlineData("_include", "Procedure:date", false, "no reference")]
    [InlineData("_include", "Procedure", false, "no parameter")]
    [InlineData("_revinclude", "Observation:part-of", true, "leads to the type searched")]
    [InlineData("_revinclude", "Task:focus", false, "leads elsewhere")]
    public void Include_IsUnderstoodOrTheCallerIsTold(string name, string value, bool isKnown, string reason)
    {
        var parse = Parse("Procedure", ("patient", "p1"), (name, value));

        Assert.True(isKnown == (parse.Problems.Count == 0) && parse.Query is not null, reason);
        Assert.Equal(isKnown ? 1 : 0, parse.Query!.Includes.Count);
    }

    [Fact]
    public void AllProblems_ComeBackTogether()
    {
        var parse = Parse("Procedure", ("patient:foo", "p1"), ("date", "never"), ("bar", "x"));

        Assert.Equal(["unknown-modifier", "malformed-value", "unknown-parameter"], parse.Problems.Select(problem => problem.Code));
    }

    [Theory]
    [InlineData("Procedure", "status", "completed")]
    [InlineData("Procedure", "patient:missing", "false")]
    [InlineData("Procedure", "date", "ge2000")]
    [InlineData("Patient", "family", "t")]
    public void SearchThatNamesNobody_IsTooCostly(string type, string name, string value)
    {
        Assert.Equal("too-costly", Assert.Single(Parse(type, (name, value)).Problems).Code);
    }

    [Fact]
    public void EmptyValue_IsIgnored()
    {
        var parse = Parse("Procedure", ("patient", "p1"), ("date", ""));

        Assert.Empty(parse.Problems);
        Assert.Equal(["patient"], parse.Query!.Effective.Select(parameter => parameter.Key));
    }

    [Fact]
    public void TypeWithoutParameters_CannotBeSearched()
    {
        Assert.Equal("unknown-type", Assert.Single(Parse("Medication", ("_id", "x")).Problems).Code);
    }

    [Fact]
    public void Count_HasAnUpperLimit()
    {
        Assert.Equal(SearchParser.GreatestCount, Parse("Procedure", ("patient", "p1"), ("_count", "100000")).Query!.Count);
    }

    [Theory]
    [InlineData("a\\,b", "a,b", "escaped comma")]
    [InlineData("a\\|b", "a|b", "escaped bar")]
    [InlineData("a\\\\b", "a\\b", "escaped backslash")]
    [InlineData("a\\$b", "a$b", "escaped dollar")]
    public void EscapedValue_IsOneTerm(string value, string meant, string reason)
    {
        var query = Parse("Procedure", ("identifier", value)).Query!;

        var tokens = Assert.IsType<SearchCriterion.Tokens>(Assert.Single(query.Criteria));
        Assert.True(Assert.Single(tokens.AnyOf) == new TokenTerm(true, null, meant), reason);
    }

    [Fact]
    public void Problem_NeverRepeatsTheValue()
    {
        var parse = Parse("Procedure", ("patient.identifier", "9990000018|x|y"), ("date", "born 1957"));

        Assert.Equal(2, parse.Problems.Count);
        Assert.All(parse.Problems, problem =>
        {
            Assert.DoesNotContain("9990000018", problem.Sentence, StringComparison.Ordinal);
            Assert.DoesNotContain("1957", problem.Sentence, StringComparison.Ordinal);
        });
    }

    private static SearchParse Parse(string type, params IEnumerable<(string Name, string Value)> parameters) => SearchParser.Parse(
        type, parameters.Select(each => KeyValuePair.Create(each.Name, each.Value)), new DateTimeOffset(2024, 3, 10, 0, 0, 0, TimeSpan.Zero));
}
