using System.Text;
using System.Xml;
using System.Xml.Linq;
using FhirNarrative = Hl7.Fhir.Model.Narrative;

namespace EarReferral.Mapping.Narrative;

/// <summary>Writes the narrative that FHIR R4 allows; every word is encoded by the XML writer, so clinic text cannot become markup.</summary>
/// <param name="language">BCP 47 tag of the text.</param>
internal sealed class Xhtml(string language)
{
    private static readonly XNamespace Space = "http://www.w3.org/1999/xhtml";

    private readonly XElement root = new(
        Space + "div",
        new XAttribute("lang", language),
        new XAttribute(XNamespace.Xml + "lang", language));

    public Xhtml Paragraph(string text)
    {
        root.Add(new XElement(Space + "p", Clean(text)));
        return this;
    }

    public Xhtml Strong(string text)
    {
        root.Add(new XElement(Space + "p", new XElement(Space + "b", Clean(text))));
        return this;
    }

    /// <summary>A bulleted list; nothing when there is nothing to list.</summary>
    public Xhtml List(IReadOnlyCollection<string> items)
    {
        if (items.Count > 0)
        {
            root.Add(new XElement(Space + "ul", items.Select(item => new XElement(Space + "li", Clean(item)))));
        }

        return this;
    }

    /// <summary>The text as a narrative made only from structured data.</summary>
    public FhirNarrative Generated() => new()
    {
        Status = FhirNarrative.NarrativeStatus.Generated,
        Div = root.ToString(SaveOptions.DisableFormatting),
    };

    /// <summary>Characters that XML 1.0 cannot carry become U+FFFD, so that one stray control character cannot lose a whole letter.</summary>
    private static string Clean(string text)
    {
        var clean = new StringBuilder(text.Length);
        foreach (var rune in text.EnumerateRunes())
        {
            clean.Append(rune.IsBmp && !XmlConvert.IsXmlChar((char)rune.Value) ? "\uFFFD" : rune.ToString());
        }

        return clean.ToString();
    }
}
