using System.Text.Json.Nodes;
using EarReferral.Encounters.Reading;
using EarReferral.Encounters.Screening;
using EarReferral.Encounters.Tests.Fixtures;
using EarReferral.Testing;

namespace EarReferral.Encounters.Tests.Screening;

public sealed class MinimumScreenTests
{
    /// <summary>Groups of which the fixture records a finding as there.</summary>
    private static readonly string[] Found = ["hearingAndTinnitus", "painAndDischarge", "injuryAndObjects", "neckMouthVoice", "earlierEarTrouble", "afterProcedure"];

    [Fact]
    public void There_is_one_question_for_each_group_and_at_most_ten()
    {
        Assert.Equal(Enum.GetValues<ScreenGroup>(), MinimumScreen.Questions.Select(question => question.Group));
        Assert.InRange(MinimumScreen.Questions.Count, 1, 10);
    }

    [Fact]
    public void Contract_document_lists_every_question()
    {
        var page = File.ReadAllText(Repository.At("docs", "contract.md"));

        Assert.All(MinimumScreen.Questions, question =>
            Assert.Contains($"| `{System.Text.Json.JsonNamingPolicy.CamelCase.ConvertName(question.Group.ToString())}` | {question.Text} |", page, StringComparison.Ordinal));
    }

    [Fact]
    public void None_of_these_answers_what_is_left_out_and_nothing_that_is_recorded()
    {
        var visit = Read(it =>
        {
            it.Remove("vertigo");
            it["background"] = JsonNode.Parse("""{ "diabetes": "notAsked" }""");
            it["screening"] = Screen("yes", Found);
        });

        Assert.Equal(Answer.No, visit.Vertigo!.Present);
        Assert.Equal(Answer.NotAsked, visit.Background!.Diabetes); // an express "not asked" stays so
        Assert.Equal(Answer.No, visit.Background.Immunocompromised);
        Assert.Contains(new ScreenAnswer(null, "vertigo-present", ScreenGroup.Balance), visit.AnsweredByScreen);
        Assert.DoesNotContain(visit.AnsweredByScreen, answer => answer.Code == "background-diabetes");
    }

    [Theory]
    [InlineData("no", "some of these is no answer about any one of them")]
    [InlineData("notAsked", "not asked is not no")]
    public void Any_other_answer_fills_nothing_in(string answer, string reason)
    {
        var visit = Read(it =>
        {
            it.Remove("vertigo");
            it["screening"] = Screen(answer);
        });

        Assert.True(visit.Vertigo is null && visit.AnsweredByScreen.Count == 0, reason);
    }

    [Fact]
    public void Group_that_is_named_under_except_stays_open()
    {
        var visit = Read(it =>
        {
            it.Remove("vertigo");
            it["screening"] = Screen("yes", [.. Found, "risks", "balance"]);
        });

        Assert.Null(visit.Vertigo);
        Assert.DoesNotContain(visit.AnsweredByScreen, answer => answer.Group == ScreenGroup.Balance);
    }

    [Fact]
    public void Signs_are_never_answered_by_asking()
    {
        var visit = Read(it =>
        {
            it.Remove("general");
            it["screening"] = Screen("yes", [.. Found, "risks", "balance"]);
        });

        Assert.Null(visit.General!.SepsisSigns);
        Assert.Null(visit.General.MeningismSigns);
    }

    internal static JsonObject Screen(string answer, params string[] except) => new()
    {
        ["screen"] = "earCareMinimum",
        ["version"] = 1,
        ["noneOfThese"] = answer,
        ["except"] = new JsonArray([.. except.Select(group => JsonValue.Create(group))]),
        ["person"] = "Siân Llewellyn-Ådahl",
        ["at"] = "2026-03-12T10:35:00+00:00",
    };

    private static ClinicEncounter Read(Action<JsonObject> change)
    {
        var document = JsonNode.Parse(Fixture.Finished)!.AsObject();
        change(document);
        var reading = EncounterReader.Read(System.Text.Encoding.UTF8.GetBytes(document.ToJsonString()), new EncounterReaderOptions { AllowTestNhsNumbers = true });
        Assert.Empty(reading.Problems);
        return reading.Encounter!;
    }
}
