using EarReferral.Delivery.Decisions;

namespace EarReferral.Delivery.Tests.Decisions;

public sealed class ProbeReadingTests
{
    private const string Ours = "https://ear-referral.example/identifier/resource|3f1f9d5c-8d55-4b55-a1b6-0b9d9f0c7a11";
    private static readonly SearchMatch Match = new("ServiceRequest/9", "W/\"1\"", [Ours]);
    private static readonly SearchMatch Stranger = new("ServiceRequest/8", null, ["https://elsewhere.example|1"]);

    [Fact]
    public void One_match_with_our_identifier_is_found()
    {
        var (finding, entries) = ProbeReading.Read(Found(Match), Ours);

        Assert.Equal(ProbeFinding.Found, finding);
        Assert.Equal([new EntryAnswer("200", "ServiceRequest/9", "W/\"1\"")], entries);
    }

    [Fact] // FHIR R4 search: a server may ignore parameters it does not support
    public void Strangers_only_mean_that_the_search_was_not_understood() =>
        Assert.Equal(ProbeFinding.Unclear, ProbeReading.Read(Found(Stranger), Ours).Finding);

    [Fact]
    public void Empty_result_is_missing() => Assert.Equal(ProbeFinding.Missing, ProbeReading.Read(Found(), Ours).Finding);

    [Fact]
    public void Two_matches_are_a_duplicate_on_the_receiver() => Assert.Equal(ProbeFinding.FoundTwice, ProbeReading.Read(Found(Match, Match), Ours).Finding);

    [Fact]
    public void Error_page_is_unclear() => Assert.Equal(ProbeFinding.Unclear, ProbeReading.Read(new Answer(404, new AnswerBody.Other()), Ours).Finding);

    [Fact]
    public void Duplicate_that_is_not_there_is_never_sent_again()
    {
        Assert.Equal(new Verdict.NeedsHuman(HumanReason.DuplicateNotFound), ProbeReading.Decide(ProbeReason.ReportedDuplicate, ProbeFinding.Missing, []));
    }

    [Fact]
    public void Open_attempt_that_is_not_there_is_sent_again_at_once() =>
        Assert.Null(ProbeReading.Decide(ProbeReason.EarlierAttemptOpen, ProbeFinding.Missing, []));

    [Fact]
    public void Every_reason_and_finding_has_a_decision()
    {
        foreach (var reason in Enum.GetValues<ProbeReason>())
        {
            Assert.IsType<Verdict.Delivered>(ProbeReading.Decide(reason, ProbeFinding.Found, []));
            Assert.Equal(new Verdict.NeedsHuman(HumanReason.FoundTwice), ProbeReading.Decide(reason, ProbeFinding.FoundTwice, []));
            Assert.IsNotType<Verdict.Delivered>(ProbeReading.Decide(reason, ProbeFinding.Missing, []));
            Assert.IsNotType<Verdict.Delivered>(ProbeReading.Decide(reason, ProbeFinding.Unclear, []));
        }
    }

    private static Answer Found(params SearchMatch[] matches) => new(200, new AnswerBody.SearchResult(matches));
}
