using System.Text;
using System.Text.Json.Nodes;
using EarReferral.Encounters;
using EarReferral.Encounters.Reading;
using EarReferral.Gateway.Intake;
using EarReferral.Storage.Encounters;
using EarReferral.Testing;

namespace EarReferral.Gateway.Tests.Intake;

public sealed class IntakeProblemsTests
{
    private static readonly DateTimeOffset Received = new(2026, 4, 1, 9, 0, 0, TimeSpan.Zero);

    [Fact]
    public void Documentation_ListsExactlyTheseProblems()
    {
        var page = File.ReadAllText(Repository.At("docs", "contract.md"));

        Assert.All(IntakeProblems.All, problem => Assert.Contains($"| `{problem.Id}` | {problem.Sentence} |", page, StringComparison.Ordinal));
    }

    [Fact]
    public void VisitInProgress_IsNotStored() =>
        Assert.Equal(["intake.not-finished"], Ids(Visit() with { Status = EncounterStatus.InProgress }, null));

    [Theory]
    [InlineData(15, false, "a clock that runs a quarter of an hour ahead is forgiven")]
    [InlineData(16, true, "more is a wrong clock or a wrong year")]
    public void DecisionInTheFuture_IsRefused(int minutesAhead, bool refused, string because)
    {
        var visit = Visit() with { EvaluationInstant = Received.AddMinutes(minutesAhead) };

        Assert.True(Ids(visit, null).Contains("intake.decision-in-future") == refused, because);
    }

    [Fact]
    public void CorrectionOfAnotherPatientsVisit_IsRefused()
    {
        var visit = Visit();

        Assert.Equal(["intake.other-patient"], Ids(visit with { Patient = visit.Patient with { Id = "somebody-else" } }, Stored(visit)));
    }

    [Fact]
    public void CorrectionThatNamesAnotherVisit_IsRefused()
    {
        var visit = Visit();

        Assert.Equal(["intake.other-encounter"], Ids(visit with { EncounterId = "another" }, Stored(visit)));
    }

    [Fact]
    public void OrdinaryPost_HasNone() => Assert.Empty(Ids(Visit(), null));

    [Theory]
    [InlineData("", "hearing-onset-date", "right", true, "answer.person-missing")]
    [InlineData("Morwenna Tal", "no-such-finding", "right", true, "answer.unknown-finding")]
    [InlineData("Morwenna Tal", "hearing-change", "right", true, "answer.already-answered")]
    [InlineData("Morwenna Tal", "hearing-onset-date", "right", false, "answer.none-given")]
    public void AnswerThatDoesNotFit_SaysWhy(string person, string finding, string side, bool any, string expected)
    {
        var answers = new Answers
        {
            Person = person,
            At = Received,
            Given = any ? [new FindingAnswer { Finding = finding, Side = Enum.Parse<EarSide>(side, ignoreCase: true), Value = JsonValue.Create("2026-03-20") }] : [],
        };

        var (_, problems) = answers.WriteInto(Visited(), Visited(), 1);

        Assert.Equal([expected], problems.Select(problem => problem.Id));
    }

    private static byte[] Visited() => Encoding.UTF8.GetBytes("""{"ears":[{"side":"right","hearing":{"change":"sudden"}}]}""");

    private static List<string> Ids(ClinicEncounter visit, StoredEncounter? current) => [.. IntakeRules.Problems(visit, current, Received).Select(problem => problem.Id)];

    private static byte[] Document() => File.ReadAllBytes(Directory.GetFiles(Repository.At("examples", "encounters"), "01-*.json").Single());

    private static ClinicEncounter Visit() => EncounterReader.Read(Document(), new EncounterReaderOptions { AllowTestNhsNumbers = true }).Encounter!;

    private static StoredEncounter Stored(ClinicEncounter visit) => new(
        Guid.Empty, visit.Clinic.Id, visit.EncounterId, 1, visit.ContractVersion, visit.ClinicTimeZone, Guid.Empty, null, "", Document(), Received, visit.EvaluationInstant, "triaged", "T4", false, "{}"u8.ToArray(), "{}"u8.ToArray());
}
