using System.Text.Json;
using System.Text.Json.Nodes;
using EarReferral.Delivery;
using EarReferral.Encounters.Reading;
using EarReferral.Gateway.Configuration;
using EarReferral.Gateway.Demo;
using EarReferral.Gateway.Intake;
using EarReferral.Gateway.Referrals;
using EarReferral.Storage.Encounters;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.OpenApi;

/// <summary>A request and the answer it really gets, for the documentation.</summary>
internal sealed class IntakeExample(EncounterJudge judge, ReceiptWriter receipts, IOptions<GatewayOptions> gateway, IOptions<DeliveryOptions> delivery)
{
    /// <summary>An example encounter and the receipt that the gateway's own stages give for it.</summary>
    public (JsonObject Encounter, JsonNode Receipt, JsonNode Preview) Make()
    {
        var example = Example.All().First(example => example.Tier == "T1");
        var reading = EncounterReader.Read(JsonSerializer.SerializeToUtf8Bytes(example.Encounter), new EncounterReaderOptions { AllowTestNhsNumbers = true });
        var judgement = judge.Preview(reading.Encounter!, KnownHistory.None);
        var receipt = JsonNode.Parse(receipts.Write(judgement, Guid.Parse(judgement.Record.Encounter.Id!), late: false))!;
        var preview = JsonNode.Parse(ReceiptWriter.Bytes(ReceiptWriter.Preview(judgement, judgement.Encounter.EvaluationInstant)))!;
        return (example.Encounter, receipt, preview);
    }

    /// <summary>An answer to an open question.</summary>
    public static JsonNode Answers() => JsonNode.Parse("""
        { "person": "Morwenna Tal", "at": "2026-03-31T16:00:00+01:00", "given": [{ "finding": "hearing-onset-date", "side": "left", "value": "2026-03-20" }] }
        """)!;

    /// <summary>A retraction of an encounter whose referral was delivered, and its receipt.</summary>
    public (JsonNode Retraction, JsonNode Receipt) Retraction()
    {
        var posted = new Retraction { Reason = "wrongPatient", Person = "Morwenna Tal", Text = "Recorded under the wrong patient." };
        var at = new DateTimeOffset(2026, 3, 31, 15, 0, 0, TimeSpan.Zero);
        var earlier = new EarlierContent(
            ReferralPlacement.WithdrawnAfterSending,
            new EarlierReceiver("8f0d4a52-7d0b-5a57-9a51-0c6f2d1e7b10", delivery.Value.Destinations.Keys.Order(StringComparer.Ordinal).First(), at.AddHours(-1), at.AddHours(-1)),
            ["MRS42"],
            []);
        var receipt = new RetractionReceipt
        {
            Encounter = new Uri(gateway.Value.PublicBaseUrl, "encounters/3f0c8d1e-50b1-4b55-9f35-2a1b6d6f0a01"),
            EncounterId = "HL-2026-0331-07",
            Revision = 2,
            Reason = posted.Reason,
            Person = posted.Person,
            RetractedAt = at,
            PhoneNow = true,
            ReceivedBefore = CorrectionReceivers.List(earlier, delivery.Value),
            CorrectionReached = CorrectionReceivers.Reached(earlier),
        };
        return (JsonNode.Parse(posted.Bytes())!, JsonNode.Parse(ReceiptWriter.Bytes(receipt))!);
    }

    /// <summary>The closing of a referral that nobody had answered yet, and the referral afterwards.</summary>
    public (JsonNode Closure, JsonNode Referral) Closure()
    {
        var posted = new Closure
        {
            Person = "Morwenna Tal",
            Role = "audiologist",
            Reason = "treatedElsewhere",
            Text = "Seen at the emergency department the same evening.",
            Told = "Secretary of the ENT department",
        };
        var at = new DateTimeOffset(2026, 3, 31, 15, 0, 0, TimeSpan.Zero);
        var (name, destination) = delivery.Value.Destinations.OrderBy(each => each.Key, StringComparer.Ordinal).First();
        var view = new ReferralView
        {
            Id = "8f0d4a52-7d0b-5a57-9a51-0c6f2d1e7b10",
            Encounter = new Uri(gateway.Value.PublicBaseUrl, "encounters/3f0c8d1e-50b1-4b55-9f35-2a1b6d6f0a01"),
            Tier = "T1",
            Due = at.AddHours(23),
            Destination = destination.Name ?? name,
            Phone = destination.Phone,
            PhoneNow = false,
            Delivery = "closed",
            Execution = "cancelled",
            RequestSha256 = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08",
            Attempts = [new ReferralAttempt(at.AddHours(-1), StatusCodes.Status200OK, "delivered", 240, null)],
            Timeline =
            [
                new ReferralStep(at.AddHours(-1), "queued", "gateway", null, null, null),
                new ReferralStep(at.AddHours(-1), "delivered", "delivery", null, null, null),
                new ReferralStep(at, "closed", Callers.Actor, "cancelled", null, $"{posted.Reason}: closed by {posted.Person}, {posted.Role}. Told: {posted.Told}."),
            ],
        };
        return (JsonSerializer.SerializeToNode(posted, JsonSerializerOptions.Web)!, JsonSerializer.SerializeToNode(view, JsonSerializerOptions.Web)!);
    }
}
