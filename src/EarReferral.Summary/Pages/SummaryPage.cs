using System.Xml.Linq;
using EarReferral.Summary.Drawing;
using EarReferral.Summary.Findings;
using Hl7.Fhir.Model;

namespace EarReferral.Summary.Pages;

/// <summary>The summary as one page that stands alone: no script, nothing loaded from elsewhere, fit to be printed.</summary>
public static class SummaryPage
{
    /// <summary>Renders the page.</summary>
    /// <param name="document">A FHIR document whose first entry is the Composition.</param>
    /// <exception cref="ArgumentException">The bundle does not begin with a Composition.</exception>
    public static string Render(Bundle document)
    {
        ArgumentNullException.ThrowIfNull(document);
        var resources = document.Entry.Select(entry => entry.Resource).OfType<Resource>().ToList();
        if (resources.FirstOrDefault() is not Composition composition)
        {
            throw new ArgumentException("A document begins with its Composition.", nameof(document));
        }

        return Page.Of(
            composition.Title ?? "Ear care summary",
            composition.Language ?? "en-GB",
            [
                .. State(composition),
                Page.Element("h1", composition.Title ?? "Ear care summary"),
                Who(document, composition),
                .. composition.Section.Select(section => Section(section, resources)),
                Page.Element(
                    "footer",
                    Page.Element("p", "The drawings are sketches made from the coded findings, seen in the patient's own anatomy; where a drawing and the text differ, the text counts. What is not drawn was not necessarily absent: read what was not asked or not seen."),
                    Page.Element("p", "Decision support for trained staff. Local policy and licensed practice decide; an emergency is telephoned first.")),
            ]);
    }

    // What a reader must know before the first line: that this is not the first version, or that none of it holds.
    private static IEnumerable<XElement> State(Composition composition) => composition.Status switch
    {
        CompositionStatus.EnteredInError => [Page.Notice("Entered in error. Do not act on this summary; ask the clinic.")],
        CompositionStatus.Amended => [Page.Notice("Amended. This version takes the place of an earlier one.")],
        CompositionStatus.Preliminary => [Page.Notice("Preliminary. Questions about this visit are still open.")],
        _ => [],
    };

    private static XElement Who(Bundle document, Composition composition)
    {
        var patient = Named(document, composition.Subject) as Patient;
        var clinic = Named(document, composition.Custodian) as Organization;
        return Page.Facts(
            ("Patient", patient?.Name.FirstOrDefault() is { } name ? string.Join(' ', name.Given.Append(name.Family).OfType<string>()) : "not recorded"),
            ("Born", patient?.BirthDate ?? "not recorded"),
            ("NHS number", PatientNumber.Words(patient)),
            ("Clinic", string.Join(", ", new[] { clinic?.Name ?? composition.Custodian?.Display, clinic?.Telecom.Find(telecom => telecom.System is ContactPoint.ContactPointSystem.Phone)?.Value }.OfType<string>())),
            ("Date", composition.Date ?? "not recorded"));
    }

    private static Resource? Named(Bundle document, ResourceReference? reference) =>
        document.Entry.Find(entry => entry.FullUrl is { } url && url == reference?.Reference)?.Resource;

    private static XElement Section(Composition.SectionComponent section, List<Resource> resources)
    {
        EarSide? side = section.Title switch { "Right ear" => EarSide.Right, "Left ear" => EarSide.Left, _ => null };
        return Page.Element(
            "section",
            Page.Element("h2", section.Title ?? "Section"),
            side is { } ear ? Pictures(ear, resources) : null,
            NarrativeText.Of(section.Text?.Div, section.Title));
    }

    private static XElement Pictures(EarSide side, List<Resource> resources) => Page.Element(
        "div",
        new XAttribute("class", "pictures"),
        Enum.GetValues<ExaminationMoment>().Select(moment => Figure(EarDrawing.Of(EarViewReader.Read(resources, side, moment)), $"{side}-{moment}")));

    private static XElement Figure(EarDrawing drawing, string id) => Page.Element(
        "figure",
        Svg.Render(drawing, id),
        Page.Element(
            "figcaption",
            Page.Element("strong", drawing.Title),
            Page.Element("ul", drawing.Legend.Select(line => Page.Element("li", line.Number is { } number ? $"{number}: {line.Text}" : line.Text)))));
}
