using EarReferral.Summary.Sheets;
using Hl7.Fhir.Model;

namespace EarReferral.Summary.Pages;

/// <summary>
/// The referral as a letter that the patient can carry and a telephone call can be held by: what is asked and by when, why, medicines, how to reach
/// the patient, who was phoned. It says the same as the electronic referral and is no part of what is sent.
/// </summary>
public static class ReferralLetter
{
    // The notes of a referral are one line for one matter, and each matter begins with its own words; a test holds these to what the mapping writes.
    private static readonly string[] Urgency = ["SEEN BY ", "Urgency: ", "Deadline: "];
    private static readonly string[] Reasons = ["Reason (", "Clinician's own tier: ", "Investigated before and unchanged", "Not asked, so not excluded: "];
    private static readonly string[] Medicines = ["Medicines: ", "Anticoagulant: ", "Allergies: "];
    private static readonly string[] Contact =
    [
        "How to reach the patient: ", "Do not telephone: ", "Preferred contact: ", "Whether the patient hears on a telephone: ", "Language: ", "Interpreter", "No interpreter needed.",
        "Carer or helper: ", "Capacity to decide: ",
    ];

    /// <summary>Makes the sheet.</summary>
    /// <param name="referral">The ServiceRequest first, then what it reaches.</param>
    /// <param name="calls">Calls about this referral that the gateway has on record, each in words with its time; empty when it has none.</param>
    /// <param name="numbers">Telephone numbers of the receiver, each in words with its hours; empty when none is known.</param>
    /// <exception cref="ArgumentException">The bundle does not begin with a ServiceRequest.</exception>
    public static Sheet Of(Bundle referral, IReadOnlyList<string> calls, IReadOnlyList<string> numbers)
    {
        ArgumentNullException.ThrowIfNull(numbers);
        ArgumentNullException.ThrowIfNull(referral);
        ArgumentNullException.ThrowIfNull(calls);
        if (referral.Entry.FirstOrDefault()?.Resource is not ServiceRequest request)
        {
            throw new ArgumentException("A referral begins with its ServiceRequest.", nameof(referral));
        }

        var record = new RecordIndex(referral);
        var patient = record.Find<Patient>(request.Subject);
        var role = record.Find<PractitionerRole>(request.Requester);
        var notes = request.Note.Select(note => note.Text).OfType<string>().ToList();
        var due = (request.Occurrence as Period)?.End;
        return new Sheet(
            "Referral letter",
            request.Language ?? "en-GB",
            PatientFacts.Running(patient),
            [.. State(request.Status)],
            [
                new Facts(
                [
                    new("To", request.Performer.Count == 0 ? "not recorded" : string.Join("; ", request.Performer.Select(record.Organization))),
                    new("From", record.Organization(role?.Organization)),
                    new("Referred by", record.Author(request.Requester)),
                    new("Date", PlainTime.Of(request.AuthoredOn)),
                    .. PatientFacts.Of(patient),
                    new("GP practice", patient?.GeneralPractitioner.FirstOrDefault() is { } practice ? record.Organization(practice) : "none recorded"),
                    new("Contact", Reach(patient)),
                ]),
                new Section(
                    "What is asked, and by when",
                    [new Paragraph($"{request.Code?.Text ?? "Referral"}. Please see this patient by {PlainTime.Of(due)}.", IsLead: true), new Bullets([.. Of(notes, Urgency)])],
                    IsFirst: true),
                Part("Why", Of(notes, Reasons), "The record gives no reason in words; ask the clinic."),
                Part("Medicines and allergies", Of(notes, Medicines), "Not recorded."),
                Part("Reaching the patient", Of(notes, Contact), "Not recorded."),
                Part("Telephone", numbers, "No number of the receiver is on record; ask the clinic. In an emergency call 999."),
                Part("Calls", calls, "No call about this referral is on record."),
                .. Rest(notes) is { Count: > 0 } rest ? [Part("Also", rest, string.Empty)] : Array.Empty<Block>(),
                Part("The patient was told", request.PatientInstruction is { Length: > 0 } told ? [told] : [], "Not recorded."),
                new SmallPrint(["This letter does not show that the electronic referral has arrived.", "Decision support for trained staff. Local policy and licensed practice decide; an emergency is telephoned first."]),
            ]);
    }

    private static IEnumerable<Notice> State(RequestStatus? status) => status switch
    {
        RequestStatus.Revoked => [new Notice("Withdrawn. Do not act on this letter; ask the clinic.")],
        RequestStatus.EnteredInError => [new Notice("Entered in error. Do not act on this letter; ask the clinic.")],
        RequestStatus.Completed => [new Notice("This referral is completed.")],
        _ => [],
    };

    private static IEnumerable<string> Of(IEnumerable<string> notes, string[] beginnings) =>
        notes.Where(note => Array.Exists(beginnings, beginning => note.StartsWith(beginning, StringComparison.Ordinal)));

    // What begins with none of the known words is still said.
    private static List<string> Rest(List<string> notes) => [.. notes.Except(new[] { Urgency, Reasons, Medicines, Contact }.SelectMany(known => Of(notes, known)))];

    private static Section Part(string title, IEnumerable<string> lines, string otherwise) =>
        lines.ToList() is { Count: > 0 } known ? new Section(title, [new Bullets(known)]) : new Section(title, [new Paragraph(otherwise)]);

    private static string Reach(Patient? patient)
    {
        var ways = (patient?.Telecom ?? []).Select(telecom => telecom.Value)
            .Concat((patient?.Address ?? []).Select(address => address.Text ?? string.Join(", ", address.Line.Append(address.City).Append(address.PostalCode).OfType<string>())))
            .Where(way => !string.IsNullOrWhiteSpace(way))
            .ToList();
        return ways.Count == 0 ? "not recorded" : string.Join("; ", ways);
    }
}
