using EarReferral.Summary.Drawing;
using EarReferral.Summary.Findings;
using EarReferral.Summary.Sheets;
using Hl7.Fhir.Model;

namespace EarReferral.Summary.Pages;

/// <summary>The summary for the GP practice as a sheet: action first, then each ear in pictures, then all that the record says.</summary>
public static class SummaryPage
{
    /// <summary>How the first section of a summary says that the GP practice has nothing to do; a test holds it to what the mapping writes.</summary>
    private const string NoAction = "Action for GP needed: no.";

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
        var asksNothing = composition.Section.FirstOrDefault()?.Text?.Div?.Contains(NoAction, StringComparison.Ordinal) is true;
        return new Sheet(
            composition.Title ?? "Ear care summary",
            composition.Language ?? "en-GB",
            PatientFacts.Running(patient),
            [.. State(composition.Status)],
            [
                new Facts([.. PatientFacts.Of(patient), new("Clinic", record.Organization(composition.Custodian)), new("Seen by", record.Author(composition.Author.FirstOrDefault())), new("Date", PlainTime.Of(composition.Date))]),
                .. Practice(patient, record),
                .. composition.Section.Select((section, index) => Section(section, record, index == 0, asksNothing)),
                .. Images(record),
                new SmallPrint(
                [
                    "The drawings are sketches made from the coded findings, seen in the patient's own anatomy; where a drawing and the text differ, the text counts. What is not drawn was not necessarily absent.",
                    "Decision support for trained staff. Local policy and licensed practice decide; an emergency is telephoned first.",
                ]),
            ]);
    }

    /// <summary>The sheet as a page.</summary>
    /// <param name="document">A FHIR document whose first entry is the Composition.</param>
    /// <exception cref="ArgumentException">The bundle does not begin with a Composition.</exception>
    public static string Render(Bundle document) => HtmlPage.Render(Of(document));

    // What a reader must know before the first line: that this is not the first version, or that none of it holds.
    internal static IEnumerable<Notice> State(CompositionStatus? status) => status switch
    {
        CompositionStatus.EnteredInError => [new Notice("Entered in error. Do not act on this summary; ask the clinic.")],
        CompositionStatus.Amended => [new Notice("Amended. This version takes the place of an earlier one.")],
        CompositionStatus.Preliminary => [new Notice("Preliminary. Questions about this visit are still open.")],
        _ => [],
    };

    private static IEnumerable<Block> Practice(Patient? patient, RecordIndex record) => patient?.GeneralPractitioner.FirstOrDefault() is { } practice
        ? [new Paragraph($"GP practice: {record.Organization(practice)}.")]
        : [new Notice("No GP practice is recorded. This summary reaches none by itself; the clinic gives the patient a copy.")];

    private static Section Section(Composition.SectionComponent section, RecordIndex record, bool isFirst, bool asksNothing)
    {
        EarSide? side = section.Title switch { "Right ear" => EarSide.Right, "Left ear" => EarSide.Left, _ => null };
        return new Section(
            section.Title ?? "Section",
            [
                .. side is { } ear ? Ear(ear, record, asksNothing) : [],
                .. NarrativeBlocks.Of(section.Text?.Div, section.Title),
            ],
            isFirst);
    }

    // The long narrative comes after what a reader in a hurry needs of this ear: done, left, complications, and the two pictures.
    private static IEnumerable<Block> Ear(EarSide side, RecordIndex record, bool asksNothing) =>
    [
        new Bullets([.. EarOutcome.Of(side, record.Resources)]),
        .. EarOutcome.Left(side, record.Resources) is { Count: > 0 } left
            ? new Block[] { new Bullets(left), new Paragraph(asksNothing ? "About what was left the GP practice is asked nothing." : "What the GP practice is asked, if anything, stands in the first lines.") }
            : [],
        new Pictures([.. Enum.GetValues<ExaminationMoment>().Select(moment => EarDrawing.Of(EarViewReader.Read(record.Resources, side, moment)))], side.ToString()),
        .. AudiogramReader.Read(record.Resources, side) is { Thresholds.Count: > 0 } audiogram ? new[] { new Pictures([AudiogramDrawing.Of(audiogram)], $"{side}-audiogram") } : [],
    ];

    private static IEnumerable<Block> Images(RecordIndex record)
    {
        var images = ImageLines.Of(record).ToList();
        return images.Count == 0 ? [] : [new Section("Pictures and videos", [new Bullets(images), new Paragraph("They stay with the clinic. Where the address cannot be opened, ask the clinic.")])];
    }
}
