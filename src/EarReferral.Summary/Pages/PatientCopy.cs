using EarReferral.Summary.Findings;
using EarReferral.Summary.Sheets;
using Hl7.Fhir.Model;

namespace EarReferral.Summary.Pages;

/// <summary>
/// The visit in plain words for the patient to take home: what was done per ear, what was left on purpose, what to do and not to do, when to seek
/// help, by when to be seen, whom to call. It gives the advice that the record says was given and adds none of its own.
/// </summary>
public static class PatientCopy
{
    // How the section of a summary says what the patient is told, where no referral says it; a test holds it to what the mapping writes.
    private const string ToTell = "To tell the patient: ";
    private const string FollowUp = "Follow-up: ";

    // The trade's words for the quarters of the eardrum, and what a patient calls them.
    private static readonly (string Trade, string Plain)[] Places =
        [("postero superior", "upper back part"), ("postero inferior", "lower back part"), ("antero superior", "upper front part"), ("antero inferior", "lower front part"), ("on drum", "on the eardrum"), ("attic", "top of the eardrum")];

    /// <summary>Makes the sheet.</summary>
    /// <param name="document">A FHIR document whose first entry is the Composition.</param>
    /// <exception cref="ArgumentException">The bundle does not begin with a Composition.</exception>
    public static Sheet Of(Bundle document)
    {
        ArgumentNullException.ThrowIfNull(document);
        if (document.Entry.FirstOrDefault()?.Resource is not Composition composition)
        {
            throw new ArgumentException("A document begins with its Composition.", nameof(document));
        }

        var record = new RecordIndex(document);
        var patient = record.Find<Patient>(composition.Subject);
        var clinic = record.Organization(composition.Custodian);
        var requests = record.Resources.OfType<ServiceRequest>().Where(request => request.Status is RequestStatus.Active or RequestStatus.Completed).ToList();
        var lines = composition.Section.SelectMany(section => NarrativeBlocks.Of(section.Text?.Div, section.Title)).OfType<Bullets>().SelectMany(list => list.Items).ToList();
        return new Sheet(
            "Your ear care visit",
            composition.Language ?? "en-GB",
            PatientFacts.Running(patient),
            [.. State(composition.Status)],
            [
                new Facts([.. PatientFacts.Of(patient), new("Date of the visit", PlainTime.Of(composition.Date)), new("Clinic", clinic)]),
                Next(composition, requests, lines, record),
                .. Sides(composition).Select(side => Ear(side, record.Resources)),
                Advice(lines, record.Resources),
                new Section("Whom to ask", [new Paragraph($"{clinic}."), .. Practice(patient, record)]),
                new SmallPrint(["This sheet gives what was recorded at your visit. If something in it is not as you remember it, tell the clinic."]),
            ]);
    }

    private static IEnumerable<Notice> State(CompositionStatus? status) => status switch
    {
        CompositionStatus.EnteredInError => [new Notice("This sheet was made by mistake. Do not follow it; ask the clinic.")],
        CompositionStatus.Amended => [new Notice("This sheet takes the place of an earlier one. Please throw the earlier one away.")],
        CompositionStatus.Preliminary => [new Notice("Some questions about your visit are still open. The clinic will be in touch.")],
        _ => [],
    };

    private static Section Next(Composition composition, List<ServiceRequest> requests, List<string> lines, RecordIndex record)
    {
        var told = requests.Select(request => request.PatientInstruction).OfType<string>().Where(words => words.Length > 0).ToList();
        if (told.Count == 0)
        {
            told = [.. lines.Where(line => line.StartsWith(ToTell, StringComparison.Ordinal)).Select(line => line[ToTell.Length..])];
        }

        return new Section(
            "What happens next, and when to seek help",
            [
                // A withdrawn summary must not go on telling anybody what to do.
                .. composition.Status is CompositionStatus.EnteredInError ? [] : told.Select(words => new Paragraph(words)),
                .. told.Count == 0 ? [new Paragraph("Nothing about this was recorded. Ask the clinic before you leave.")] : Array.Empty<Block>(),
                .. requests.Select(request => new Paragraph(
                    $"You are referred to {string.Join(", ", request.Performer.Select(record.Organization))}, to be seen by {PlainTime.Of((request.Occurrence as Period)?.End)}.", IsLead: true)),
            ],
            IsFirst: true);
    }

    private static IEnumerable<EarSide> Sides(Composition composition) =>
        composition.Section.Select(section => section.Title switch { "Right ear" => EarSide.Right, "Left ear" => EarSide.Left, _ => (EarSide?)null }).OfType<EarSide>();

    private static Section Ear(EarSide side, IReadOnlyList<Resource> record)
    {
        var left = EarOutcome.Left(side, record);
        return new Section(
            side switch { EarSide.Right => "Your right ear", EarSide.Left => "Your left ear" },
            [
                new Bullets([.. EarOutcome.Procedures(side, record).Select(Plain).DefaultIfEmpty("Nothing was done to this ear.")]),
                .. left.Count == 0 ? [] : new Block[] { new Paragraph("Not everything was taken out:", IsLead: true), new Bullets([.. left.Select(InPlainWords)]), new Paragraph("Do not try to take it out yourself. If you want to know why it was left, ask the clinic.") },
            ]);
    }

    private static string InPlainWords(string line) => Places.Aggregate(line, (text, place) => text.Replace(place.Trade, place.Plain, StringComparison.OrdinalIgnoreCase));

    private static string Plain(Procedure procedure) => $"{procedure.Code?.Text ?? "Procedure"}: " + (EarViewReader.CodeIn(procedure.Outcome, FindingCodes.OutcomeResult) switch
    {
        "clear" => "it is done and the ear is clear.",
        "thin-layer-left-on-drum" => "it is done. A thin layer was left on the eardrum on purpose.",
        "incomplete" => "part of the work is still to do.",
        "abandoned" => "we stopped before the end.",
        _ when procedure.Status is EventStatus.NotDone => "it was not started.",
        _ => "how it ended was not recorded.",
    }) + (procedure.StatusReason?.Text is { Length: > 0 } reason ? $" Reason: {reason}." : string.Empty);

    private static Section Advice(List<string> lines, IReadOnlyList<Resource> record)
    {
        var given = record.OfType<Observation>()
            .Where(observation => EarViewReader.Code(observation)?.StartsWith("advice-", StringComparison.Ordinal) is true && EarViewReader.CodeIn(observation.Value, FindingCodes.Snomed) == FindingCodes.Present)
            .Select(Sentence)
            .Concat(lines.Where(line => line.StartsWith(FollowUp, StringComparison.Ordinal)).Select(line => $"{line}."))
            .Distinct(StringComparer.Ordinal)
            .ToList();
        return new Section("What to do and what not to do", given.Count == 0 ? [new Paragraph("No advice was recorded. Ask the clinic.")] : [new Paragraph("At your visit we spoke about:", IsLead: true), new Bullets(given)]);
    }

    private static string Sentence(Observation advice) => EarViewReader.Code(advice) switch
    {
        "advice-nothing-in-ear" => "Put nothing into the ear, no cotton buds either.",
        "advice-keep-dry" => "Keep the ear dry.",
        "advice-when-to-seek-help" => "When to seek help; see above.",
        "advice-leaflet-given" => "You were given a leaflet.",
        _ => $"{advice.Code?.Text?.Replace("Advice: ", string.Empty, StringComparison.Ordinal)}.",
    };

    private static IEnumerable<Block> Practice(Patient? patient, RecordIndex record) => patient?.GeneralPractitioner.FirstOrDefault() is { } practice
        ? [new Paragraph($"Your GP practice on our record: {record.Organization(practice)}. If this is not your practice any more, tell the clinic.")]
        : [new Paragraph("We have no GP practice on record for you, so nothing is sent to one. Keep this sheet and show it to a doctor.")];
}
