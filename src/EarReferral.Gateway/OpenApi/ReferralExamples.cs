using System.Text.Json;
using System.Text.Json.Nodes;
using EarReferral.Gateway.Attention;
using EarReferral.Gateway.Referrals;
using EarReferral.Storage.Alarms;

namespace EarReferral.Gateway.OpenApi;

/// <summary>What people post about a referral or an alarm, for the documentation; written as the types that read it.</summary>
internal static class ReferralExamples
{
    private const string Person = "Morwenna Tal";
    private const string ReferralId = "8f0d4a52-7d0b-5a57-9a51-0c6f2d1e7b10";
    private static readonly DateTimeOffset At = new(2026, 3, 31, 15, 0, 0, TimeSpan.Zero);

    /// <summary>Requests by path; each is answered with the referral.</summary>
    public static IEnumerable<(string Path, JsonNode Request)> Requests() =>
    [
        ("/referrals/{id}/hold", Of(new HoldRequest { Person = Person, Reason = "patientUndecided" })),
        ("/referrals/{id}/release", Of(new OperatorRequest { Person = Person })),
        ("/referrals/{id}/resend", Of(new OperatorRequest { Person = Person })),
        ("/referrals/{id}/redirect", Of(new RedirectRequest { Person = Person, Reason = "noCapacity", Destination = "eastmoor-ent", Told = "Secretary of the ENT department" })),
        ("/referrals/{id}/objection", Of(new ObjectionDecision { Person = Person, Role = "clinician", Text = "Life at risk, discussed with the family.", Told = "ENT registrar on call" })),
        ("/referrals/{id}/cancel", Of(new Cancellation { Person = Person, Role = "audiologist", Reason = "treatedElsewhere", Text = "Seen at the emergency department.", Told = "Secretary of the ENT department" })),
        ("/referrals/{id}/replies", Of(new Reply { Person = Person, At = At, Text = "The audiogram of 30 March is attached to the record.", Channel = "electronic" })),
        ("/referrals/{id}/calls", Of(new CallByHand { Person = Person, SaidBy = "ENT registrar on call", At = At, Outcome = "taken" })),
        ("/referrals/{id}/answers-by-hand", Of(new AnswerByHand { Answer = "accepted", Channel = "phone", SaidBy = "Secretary of the ENT department", Person = Person, At = At })),
    ];

    /// <summary>Somebody takes an alarm on.</summary>
    public static JsonNode Acknowledgement() => Of(new AcknowledgementByHand { Person = Person, Note = "Phoning the ENT secretary now." });

    /// <summary>The alarm afterwards.</summary>
    public static JsonNode Alarm() => Of(AlarmView.Of(
        new Alarm(
            "019d4f0e-7c00-7000-8000-000000000001", new AlarmCause("", "delivery-overdue", "harbour-lane", ReferralId, "T1", At.AddMinutes(-20)), At.AddMinutes(-5), 1, At.AddMinutes(10), new Acknowledgement(At, Person, "Phoning the ENT secretary now.")),
        [new AlarmMessage("019d4f0e-7c00-7000-8000-000000000001-0", 0, "duty", At.AddMinutes(-5), true, "status-200")]));

    private static JsonNode Of<T>(T value)
        where T : notnull => JsonSerializer.SerializeToNode(value, Options)!;

    private static JsonSerializerOptions Options { get; } = new(JsonSerializerDefaults.Web) { DefaultIgnoreCondition = System.Text.Json.Serialization.JsonIgnoreCondition.WhenWritingNull };
}
