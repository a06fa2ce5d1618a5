using System.Text;
using EarReferral.Delivery.Decisions;
using EarReferral.Delivery.Sending;

namespace EarReferral.Delivery.Tests.Sending;

public sealed class AnswerParserTests
{
    [Fact] // FHIR R4 Bundle, example of a transaction response, shortened
    public void Transaction_response_is_read_entry_by_entry()
    {
        var body = Read("""
            {"resourceType":"Bundle","type":"transaction-response","entry":[
              {"response":{"status":"201 Created","location":"Patient/12423/_history/1","etag":"W/\"1\"","lastModified":"2014-08-18T01:43:33Z"}},
              {"response":{"status":"200 OK"}},
              {"resource":{"resourceType":"Patient"}}]}
            """);

        var entries = Assert.IsType<AnswerBody.TransactionResponse>(body).Entries;
        Assert.Equal([new("201 Created", "Patient/12423/_history/1", "W/\"1\""), new("200 OK", null, null), new(null, null, null)], entries);
    }

    [Fact]
    public void Every_issue_of_an_outcome_is_kept()
    {
        var body = Read("""
            {"resourceType":"OperationOutcome","issue":[
              {"severity":"error","code":"required","details":{"text":"reasonCode is missing"},"expression":["Bundle.entry[2].resource"]},
              {"severity":"error","code":"code-invalid","diagnostics":"unknown code"},
              {"severity":"warning","code":"informational"}]}
            """);

        Assert.Equal(
            [new("error", "required", "reasonCode is missing", "Bundle.entry[2].resource"), new("error", "code-invalid", "unknown code", null), new("warning", "informational", null, null)],
            Assert.IsType<AnswerBody.Outcome>(body).Issues);
    }

    [Theory]
    [InlineData("")]
    [InlineData("<html><body>Bad gateway</body></html>")]
    [InlineData("[]")]
    [InlineData("null")]
    [InlineData("\"OperationOutcome\"")]
    [InlineData("{\"resourceType\":\"Bundle\",\"type\":\"batch-response\",\"entry\":[]}")] // a batch is no transaction
    [InlineData("{\"resourceType\":\"Bundle\"}")]
    [InlineData("{\"resourceType\":7,\"type\":{}}")]
    [InlineData("{\"resourceType\":\"Bundle\",\"type\":\"transaction-response\",\"entry\":[")] // cut off
    public void Anything_else_is_other(string body) => Assert.Equal(new AnswerBody.Other(), Read(body));

    [Theory]
    [InlineData("{\"resourceType\":\"Bundle\",\"type\":\"transaction-response\",\"entry\":[null,7,{\"response\":[]}]}", 3)]
    [InlineData("{\"resourceType\":\"Bundle\",\"type\":\"transaction-response\",\"entry\":{}}", 0)]
    public void Malformed_entries_count_as_entries_without_status(string body, int count)
    {
        var entries = Assert.IsType<AnswerBody.TransactionResponse>(Read(body)).Entries;

        Assert.Equal(count, entries.Count);
        Assert.DoesNotContain(entries, entry => entry.Succeeded);
    }

    [Theory]
    [InlineData("201 Created", true)]
    [InlineData("200", true)]
    [InlineData("2", false)]
    [InlineData("2001", false)]
    [InlineData("2xx", false)]
    [InlineData("422 Unprocessable Entity", false)]
    [InlineData("", false)]
    public void Entry_succeeded_only_with_a_status_of_the_two_hundreds(string status, bool succeeded) =>
        Assert.Equal(succeeded, new EntryAnswer(status, null, null).Succeeded);

    [Fact]
    public void Problem_document_about_the_key_is_noticed() =>
        Assert.Equal(new AnswerBody.Other(AboutIdempotencyKey: true), Read("""{"title":"Idempotency-Key is already used","status":422}"""));

    private static AnswerBody Read(string body) => AnswerParser.Read(Encoding.UTF8.GetBytes(body));
}
