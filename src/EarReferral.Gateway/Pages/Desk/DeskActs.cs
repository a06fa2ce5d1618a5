using EarReferral.Delivery;
using EarReferral.Gateway.Configuration;
using EarReferral.Gateway.Referrals;
using EarReferral.Gateway.Security.People;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Resources;
using EarReferral.Storage.Sending;
using EarReferral.Validation;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Pages.Desk;

/// <summary>Every act of the pages. Each fills the request of the interface for programs and calls the function behind it, so both decide alike.</summary>
internal static class DeskActs
{
    private static readonly string[] Clinical = [PersonRole.Clinician, PersonRole.ClinicalLead];
    private static readonly string[] Staff = [PersonRole.Clinician, PersonRole.ClinicalLead, PersonRole.Operator];

    private static readonly DeskField When = new("at", "When", FieldKind.Instant);
    private static readonly DeskField Role = new("role", "In which role", FieldKind.Choice) { Choices = [("clinician", "clinician"), ("clinical lead", "clinical lead")] };
    private static readonly DeskField Why = new("text", "Why, in your own words", FieldKind.Text);
    private static readonly DeskField Told = new("told", "Whom at the receiver you told", FieldKind.Line) { Hint = "By name or post. Needed when they have it or may have it: no receiver learns of this by itself.", IsOptional = true };

    /// <summary>All of them, in the order in which a story offers them.</summary>
    public static IReadOnlyList<DeskAct> All { get; } =
    [
        new(
            "call", "Record a call", "A call in which a clinician there takes the referral stops the clock of the delivery. The referral goes on being sent.", Clinical,
            [
                new("outcome", "What came of it", FieldKind.Choice) { Choices = [("taken", "A clinician there has taken the referral"), ("callBack", "They will call back"), ("notReached", "Nobody answered")] },
                new("saidBy", "Who answered") { Hint = "By name or post; not needed when nobody did.", IsOptional = true },
                When,
            ],
            IsOpen,
            (context, id, form) => HandEndpoints.CallAsync(id, new CallByHand { Person = form.Person, Outcome = form["outcome"], SaidBy = form["saidBy"], At = form.At }, context, Of<ReferralStore>(context), Of<Outbox>(context), Of<TimeProvider>(context), Gateway(context), Delivery(context))),
        new(
            "answer", "Record an answer of the receiver", "It moves the referral as an electronic report would.", Clinical,
            [
                new("answer", "What they said", FieldKind.Choice)
                {
                    Choices = [("received", "Received"), ("accepted", "Accepted"), ("returned", "Returned (say why)"), ("moreWanted", "More wanted (say what)"), ("booked", "Appointment booked"), ("didNotAttend", "Patient did not attend"), ("seen", "Patient was seen")],
                },
                new("channel", "How it came", FieldKind.Choice) { Choices = [("phone", "Telephone"), ("letter", "Letter"), ("email", "E-mail")] },
                new("saidBy", "Who there said it"),
                When,
                new("reason", "Why it is returned, or what they want to know", FieldKind.Text) { IsOptional = true },
            ],
            IsOpen,
            (context, id, form) => HandEndpoints.AnswerAsync(
                id, new AnswerByHand { Person = form.Person, Answer = form["answer"], Channel = form["channel"], SaidBy = form["saidBy"], At = form.At, Reason = form["reason"] }, context, Of<ReferralStore>(context), Of<ResourceStore>(context), Of<Outbox>(context), Of<TimeProvider>(context), Gateway(context), Delivery(context))),
        new(
            "reply", "Answer their question", "Your words become a Communication that the receiver reads, and stop the clock of the answer.", Clinical,
            [new("text", "The answer", FieldKind.Text), new("channel", "How it is given", FieldKind.Choice) { Choices = [("electronic", "Electronically alone"), ("phone", "Also by telephone"), ("letter", "Also by letter"), ("email", "Also by e-mail")] }, When],
            referral => referral.BusinessStatus == "awaiting-information" && IsOpen(referral),
            (context, id, form) => ReplyEndpoint.ReplyAsync(
                id, new Reply { Person = form.Person, Text = form["text"], Channel = form["channel"], At = form.At }, context, Of<ReferralStore>(context), Of<ResourceStore>(context), Of<ReferralValidator>(context), Of<Outbox>(context), Of<TimeProvider>(context), Gateway(context), Delivery(context))),
        new(
            "close", "Close", "It leaves the list of open referrals. Nothing else ends it; a later report of work there, or a correction, opens it again.", Clinical,
            [
                new("reason", "Reason", FieldKind.Choice)
                {
                    Choices =
                    [
                        ("outcomeRead", "The outcome has been read and acted on"), ("referredElsewhere", "Another referral takes its place"), ("treatedElsewhere", "Seen by somebody else"),
                        ("patientDeclined", "The patient does not want it, knowing what that may mean"), ("patientDied", "The patient has died"), ("notNeeded", "Seen again; no referral is needed"), ("enteredInError", "It should never have been made"),
                    ],
                },
                Role, Why, Told,
            ],
            referral => referral.State != ReferralState.Closed,
            (context, id, form) => ClosureEndpoint.CloseAsync(
                id, new Closure { Person = form.Person, Role = form["role"], Reason = form["reason"], Text = form["text"], Told = form["told"] }, context, Of<ReferralStore>(context), Of<ResourceStore>(context), Of<Outbox>(context), Of<TimeProvider>(context), Gateway(context), Delivery(context),
                Of<ILogger<ReferralStore>>(context), form.ETag)),
        new(
            "cancel", "Cancel", "Before they work on it nothing more is sent; afterwards they are asked to stop and answer with the end that they report. A clinician closes it either way.", Clinical,
            [
                new("reason", "Reason", FieldKind.Choice)
                {
                    Choices = [("referredElsewhere", "Another referral takes its place"), ("treatedElsewhere", "Seen by somebody else"), ("patientDeclined", "The patient does not want it"), ("patientDied", "The patient has died"), ("notNeeded", "No referral is needed"), ("enteredInError", "It should never have been made")],
                },
                Role, Why, Told,
            ],
            IsOpen,
            (context, id, form) => CancellationEndpoint.CancelAsync(
                id, new Cancellation { Person = form.Person, Role = form["role"], Reason = form["reason"], Text = form["text"], Told = form["told"] }, context, Of<ReferralStore>(context), Of<ResourceStore>(context), Of<Outbox>(context), Of<TimeProvider>(context), Gateway(context), Delivery(context))),
        new(
            "objection", "Decide about the objection", "It is sent although the patient objects, such as to protect a life. To respect the objection, close it instead.", Clinical,
            [new("role", "In which role", FieldKind.Choice) { Choices = [("clinician", "clinician"), ("clinicalLead", "clinical lead")] }, Why with { Hint = "Without naming the patient; kept in the story and the audit trail." }, new("told", "Whom you phoned about it")],
            referral => referral.Objection == ReferralObjection.Stands && IsOpen(referral),
            (context, id, form) => OperatorEndpoints.OverrideObjectionAsync(id, new ObjectionDecision { Person = form.Person, Role = form["role"], Text = form["text"], Told = form["told"] }, context, Of<SendControl>(context))),
        new(
            "hold", "Hold back", "It is not sent until somebody releases it. Its clocks go on.", Staff,
            [new("reason", "Reason", FieldKind.Choice) { Choices = [("informationMissing", "Something is missing"), ("patientUndecided", "The patient has not decided"), ("receiverAsked", "The receiver asked for it"), ("wrongReceiver", "Wrong receiver")] }],
            referral => referral.State == ReferralState.Queued,
            (context, id, form) => OperatorEndpoints.HoldAsync(id, new HoldRequest { Person = form.Person, Reason = form["reason"] }, context, Of<SendControl>(context))),
        new(
            "release", "Release", "It goes out now.", Staff, [], referral => referral is { State: ReferralState.Held, Objection: not ReferralObjection.Stands },
            (context, id, form) => OperatorEndpoints.ReleaseAsync(id, new OperatorRequest { Person = form.Person }, context, Of<SendControl>(context))),
        new(
            "resend", "Send now", "The same bytes under the same keys, without waiting for the next turn.", Staff, [], referral => referral.State is ReferralState.Queued or ReferralState.NeedsHuman,
            (context, id, form) => OperatorEndpoints.ResendAsync(id, new OperatorRequest { Person = form.Person }, context, Of<SendControl>(context))),
        new(
            "redirect", "Send elsewhere", "A new request goes to another receiver. Possible until the present one has begun, and after it returned the referral.", Staff,
            [
                new("destination", "To", FieldKind.Choice) { OfDestinations = true },
                new("reason", "Reason", FieldKind.Choice) { Choices = [("returned", "Returned"), ("noCapacity", "No capacity there"), ("wrongReceiver", "Wrong receiver"), ("receiverUnreachable", "They cannot be reached")] },
                Told,
            ],
            referral => referral.TaskStatus is "requested" or "rejected" && IsOpen(referral),
            (context, id, form) => OperatorEndpoints.RedirectAsync(id, new RedirectRequest { Person = form.Person, Destination = form["destination"], Reason = form["reason"], Told = form["told"] }, context, Of<Redirection>(context))),
    ];

    private static bool IsOpen(StoredReferral referral) => referral.State is not (ReferralState.Closed or ReferralState.Withdrawn or ReferralState.WithdrawnAfterSending);

    private static T Of<T>(HttpContext context)
        where T : notnull => context.RequestServices.GetRequiredService<T>();

    private static IOptions<GatewayOptions> Gateway(HttpContext context) => Of<IOptions<GatewayOptions>>(context);

    private static IOptions<DeliveryOptions> Delivery(HttpContext context) => Of<IOptions<DeliveryOptions>>(context);
}
