using EarReferral.Delivery.Decisions;

namespace EarReferral.Delivery.Tests.Decisions;

/// <summary>
/// Every row of the decision table. Sources: FHIR R4 RESTful API (transaction statuses, conditional create), FHIR R4 issue-type
/// (groups of codes), RFC 9110 (statuses, Retry-After), RFC 6585 (429, 431), RFC 8470 (425), Idempotency-Key Internet-Draft.
/// </summary>
public sealed class AnswerReadingTests
{
    private const int Entries = 3;
    private static readonly DateTimeOffset Now = new(2026, 3, 2, 10, 0, 0, TimeSpan.Zero);
    private static readonly AnswerBody Html = new AnswerBody.Other();
    private static readonly AnswerBody Stored = Response("201 Created", "200", "201");

    // The key says the reason; the value is the answer and what must follow.
    private static readonly Dictionary<string, (Answer Answer, Verdict Expected)> Rows = new()
    {
        ["200 with as many successful entries as were sent proves delivery"] = (new(200, Stored), Delivered(Stored)),
        ["200 with an entry too few proves nothing"] = (new(200, Response("201", "201")), Probe(ProbeReason.UnprovenSuccess)),
        ["200 with an entry too many proves nothing"] = (new(200, Response("201", "201", "201", "201")), Probe(ProbeReason.UnprovenSuccess)),
        ["200 with a failed entry proves nothing"] = (new(200, Response("201", "422 Unprocessable", "201")), Probe(ProbeReason.UnprovenSuccess)),
        ["200 with an entry without status proves nothing"] = (new(200, Response("201", null, "201")), Probe(ProbeReason.UnprovenSuccess)),
        ["200 with an OperationOutcome proves nothing"] = (new(200, Outcome("information", "informational")), Probe(ProbeReason.UnprovenSuccess)),
        ["200 with a web page is a sign-in page in between"] = (new(200, Html), Probe(ProbeReason.PageInsteadOfAnswer)),
        ["200 with a web page that repeats our id is the receiver's own and proves nothing"] = (new(200, Html, EchoesRequestId: true), Probe(ProbeReason.UnprovenSuccess)),
        ["201 to a transaction means the bundle was filed, not processed"] = (new(201, Html, Location: "Bundle/1"), Probe(ProbeReason.UnprovenSuccess)),
        ["202 says where to ask"] = (new(202, Html, ContentLocation: "/jobs/1", RetryAfter: "3"), new Verdict.PollAsync("/jobs/1", TimeSpan.FromSeconds(3))),
        ["202 without a place to ask proves nothing"] = (new(202, Html), Probe(ProbeReason.UnprovenSuccess)),
        ["204 proves nothing for a transaction"] = (new(204, Html), Probe(ProbeReason.UnprovenSuccess)),
        ["206 is no answer to a transaction"] = (new(206, Stored), Probe(ProbeReason.UnprovenSuccess)),
        ["300 is not followed"] = (new(300, Html), Park(ParkReason.Redirected)),
        ["301 is not followed"] = (new(301, Html, Location: "https://other.example/"), Park(ParkReason.Redirected)),
        ["302 is not followed"] = (new(302, Html), Park(ParkReason.Redirected)),
        ["303 is not followed"] = (new(303, Html), Park(ParkReason.Redirected)),
        ["307 is not followed, body and token stay here"] = (new(307, Html), Park(ParkReason.Redirected)),
        ["308 is not followed, body and token stay here"] = (new(308, Html), Park(ParkReason.Redirected)),
        ["400 from the FHIR system is final"] = (new(400, Outcome("error", "structure")), Human(HumanReason.Malformed)),
        ["400 is final even if it calls itself transient"] = (new(400, Outcome("error", "timeout")), Human(HumanReason.Malformed)),
        ["400 without OperationOutcome but with our ids is from the FHIR system"] = (new(400, Html, EchoesRequestId: true), Human(HumanReason.Malformed)),
        ["400 from a proxy says nothing about the content"] = (new(400, Html), Retry(RetryReason.IntermediaryAnswered)),
        ["401 without a token to renew parks"] = (new(401, Html), Park(ParkReason.NotAuthenticated)),
        ["403 parks"] = (new(403, Outcome("error", "forbidden")), Park(ParkReason.NotAllowed)),
        ["404 is a wrong address"] = (new(404, Outcome("error", "not-found")), Park(ParkReason.EndpointWrong)),
        ["405 is a wrong address"] = (new(405, Outcome("error", "not-supported")), Park(ParkReason.EndpointWrong)),
        ["406 is a wrong contract"] = (new(406, Html, EchoesRequestId: true), Park(ParkReason.EndpointWrong)),
        ["410 is a wrong address"] = (new(410, Html, EchoesRequestId: true), Park(ParkReason.EndpointWrong)),
        ["415 is a wrong contract"] = (new(415, Outcome("error", "not-supported")), Park(ParkReason.EndpointWrong)),
        ["403 from a proxy says nothing about the address or the content"] = (new(403, Html), Retry(RetryReason.IntermediaryAnswered)),
        ["404 from a proxy says nothing about the address or the content"] = (new(404, Html), Retry(RetryReason.IntermediaryAnswered)),
        ["405 from a proxy says nothing about the address or the content"] = (new(405, Html), Retry(RetryReason.IntermediaryAnswered)),
        ["406 from a proxy says nothing about the address or the content"] = (new(406, Html), Retry(RetryReason.IntermediaryAnswered)),
        ["410 from a proxy says nothing about the address or the content"] = (new(410, Html), Retry(RetryReason.IntermediaryAnswered)),
        ["413 from a proxy says nothing about the address or the content"] = (new(413, Html), Retry(RetryReason.IntermediaryAnswered)),
        ["415 from a proxy says nothing about the address or the content"] = (new(415, Html), Retry(RetryReason.IntermediaryAnswered)),
        ["501 is a wrong contract"] = (new(501, Outcome("error", "not-supported")), Park(ParkReason.EndpointWrong)),
        ["408 was not processed"] = (new(408, Html), Retry(RetryReason.NotProcessedInTime, possiblyProcessed: false)),
        ["425 was not processed"] = (new(425, Html), Retry(RetryReason.NotProcessedInTime, possiblyProcessed: false)),
        ["409 duplicate is verified, not believed"] = (new(409, Outcome("error", "duplicate")), Probe(ProbeReason.ReportedDuplicate)),
        ["409 conflict is contention"] = (new(409, Outcome("error", "conflict")), Retry(RetryReason.Contention)),
        ["409 lock-error is contention"] = (new(409, Outcome("error", "lock-error")), Retry(RetryReason.Contention)),
        ["409 of the idempotency draft: still running"] = (new(409, new AnswerBody.Other(AboutIdempotencyKey: true)), Retry(RetryReason.Contention)),
        ["409 for a business reason is final"] = (new(409, Outcome("error", "business-rule")), Human(HumanReason.BusinessConflict)),
        ["412 multiple-matches may be a doubled patient"] = (new(412, Outcome("error", "multiple-matches")), Human(HumanReason.MultipleMatches)),
        ["412 otherwise is final"] = (new(412, Outcome("error", "conflict")), Human(HumanReason.PreconditionFailed)),
        ["412 from a proxy says nothing about the content"] = (new(412, Html), Retry(RetryReason.IntermediaryAnswered)),
        ["413 is too large when the ENT system says so"] = (new(413, Html, EchoesRequestId: true), Human(HumanReason.TooLarge)),
        ["414 is too large, whoever says so"] = (new(414, Html), Human(HumanReason.TooLarge)),
        ["431 is too large, whoever says so"] = (new(431, Html), Human(HumanReason.TooLarge)),
        ["422 from the FHIR system is final"] = (new(422, Outcome("error", "code-invalid")), Human(HumanReason.RejectedByRule)),
        ["422 about the key is our own fault"] = (new(422, new AnswerBody.Other(AboutIdempotencyKey: true)), Park(ParkReason.KeyReused)),
        ["422 from a proxy says nothing about the content"] = (new(422, Html), Retry(RetryReason.IntermediaryAnswered)),
        ["429 waits as asked and is no failure"] = (new(429, Html, RetryAfter: "7"), new Verdict.Retry(RetryReason.Throttled, TimeSpan.FromSeconds(7), false, false)),
        ["429 without a wait uses our own"] = (new(429, Html), new Verdict.Retry(RetryReason.Throttled, null, false, false)),
        ["500 may have been processed"] = (new(500, Html), Retry(RetryReason.ServerError)),
        ["500 with a transient issue is sent again"] = (new(500, Outcome("error", "exception")), Retry(RetryReason.ServerError)),
        ["500 for an invalid resource is final: R4 allows it"] = (new(500, Outcome("error", "invariant")), Human(HumanReason.FinalError)),
        ["500 for a processing rule is final"] = (new(500, Outcome("error", "business-rule")), Human(HumanReason.FinalError)),
        ["500 for a security reason parks"] = (new(500, Outcome("error", "suppressed")), Park(ParkReason.NotAllowed)),
        ["500 with a code that R4 does not have goes by its status"] = (new(500, Outcome("error", "gremlins")), Retry(RetryReason.ServerError)),
        ["502 web page of a proxy is sent again"] = (new(502, Html), Retry(RetryReason.Unavailable)),
        ["503 waits as asked"] = (new(503, Html, RetryAfter: "90"), Retry(RetryReason.Unavailable, TimeSpan.FromSeconds(90))),
        ["503 is sent again whatever the issue says"] = (new(503, Outcome("error", "invalid")), Retry(RetryReason.Unavailable)),
        ["504 may have been processed"] = (new(504, Html), Retry(RetryReason.Unavailable)),
        ["507 goes by its issue"] = (new(507, Outcome("error", "no-store")), Retry(RetryReason.ServerError)),
        ["418 from a proxy is sent again"] = (new(418, Html), Retry(RetryReason.IntermediaryAnswered)),
        ["418 from the FHIR system with a final issue is final"] = (new(418, Outcome("error", "processing")), Human(HumanReason.FinalError)),
        ["418 from the FHIR system without a usable issue is final"] = (new(418, Html, EchoesRequestId: true), Human(HumanReason.FinalError)),
    };

    public static TheoryData<string> Reasons => [.. Rows.Keys];

    [Theory]
    [MemberData(nameof(Reasons))]
    public void Answer_follows_its_row(string reason)
    {
        var (answer, expected) = Rows[reason];

        Assert.Equal(expected, AnswerReading.Read(answer, new AttemptContext(Entries, Now)));
    }

    [Fact]
    public void Single_creation_is_proven_by_its_location()
    {
        var decision = AnswerReading.Read(new Answer(201, Html, Location: "ServiceRequest/1", ETag: "W/\"1\""), new AttemptContext(1, Now));

        Assert.Equal([new EntryAnswer("201", "ServiceRequest/1", "W/\"1\"")], Assert.IsType<Verdict.Delivered>(decision).Entries);
    }

    [Theory]
    [InlineData(TransportFaultName.NotConnected, false)] // nothing left this machine
    [InlineData(TransportFaultName.NoToken, false)]
    [InlineData(TransportFaultName.TimedOut, true)]
    [InlineData(TransportFaultName.ConnectionLost, true)]
    public void Broken_transport_is_sent_again_and_probed_first_if_bytes_may_have_arrived(TransportFaultName fault, bool possiblyProcessed)
    {
        var retry = Assert.IsType<Verdict.Retry>(AnswerReading.Read(Enum.Parse<TransportFault>(fault.ToString())));

        Assert.Equal(possiblyProcessed, retry.PossiblyProcessed);
    }

    [Fact]
    public void Receiver_that_gives_no_token_parks() =>
        Assert.Equal(Park(ParkReason.TokenRefused), AnswerReading.Read(TransportFault.TokenRefused));

    [Fact]
    public void Certificate_that_is_not_trusted_parks() =>
        Assert.Equal(Park(ParkReason.NotTrusted), AnswerReading.Read(TransportFault.NotTrusted));

    [Fact]
    public void No_status_is_without_a_decision()
    {
        for (var status = 200; status <= 599; status++)
        {
            Assert.NotNull(AnswerReading.Read(new Answer(status, Html), new AttemptContext(Entries, Now)));
        }
    }

    [Fact]
    public void Nothing_but_a_proof_is_ever_read_as_delivered()
    {
        AnswerBody[] bodies = [Html, Outcome("information", "informational"), Response(), Response("201"), new AnswerBody.SearchResult([])];
        for (var status = 200; status <= 599; status++)
        {
            Assert.All(bodies, body => Assert.IsNotType<Verdict.Delivered>(AnswerReading.Read(new Answer(status, body, true), new AttemptContext(Entries, Now))));
        }
    }

    /// <summary>Names of the faults, because the type itself is internal.</summary>
    public enum TransportFaultName
    {
        NotConnected,
        TimedOut,
        ConnectionLost,
        NoToken,
    }

    private static AnswerBody.TransactionResponse Response(params string?[] statuses) =>
        new([.. statuses.Select(status => new EntryAnswer(status, "Patient/1/_history/1", "W/\"1\""))]);

    private static AnswerBody.Outcome Outcome(string severity, string code) => new([new AnswerIssue(severity, code, null, null)]);

    private static Verdict.Delivered Delivered(AnswerBody body) => new(((AnswerBody.TransactionResponse)body).Entries);

    private static Verdict.Probe Probe(ProbeReason reason) => new(reason);

    private static Verdict.ParkDestination Park(ParkReason reason) => new(reason);

    private static Verdict.NeedsHuman Human(HumanReason reason) => new(reason);

    private static Verdict.Retry Retry(RetryReason reason, TimeSpan? wait = null, bool possiblyProcessed = true) => new(reason, wait, possiblyProcessed, CountsAsFailure: true);
}
