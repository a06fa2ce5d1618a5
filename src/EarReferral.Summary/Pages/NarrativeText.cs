using System.Xml;
using System.Xml.Linq;

namespace EarReferral.Summary.Pages;

/// <summary>The narrative of a section, reduced to the few elements that a page of ours shows.</summary>
internal static class NarrativeText
{
    private static readonly HashSet<string> Kept = new(StringComparer.Ordinal) { "p", "b", "ul", "li", "div", "br", "i", "em", "strong", "ol", "table", "thead", "tbody", "tr", "th", "td", "span" };

    /// <summary>The elements inside the narrative's <c>div</c>, without attributes; a first line that only repeats the title is left out.</summary>
    public static IEnumerable<XNode> Of(string? div, string? title)
    {
        if (div is null)
        {
            return [Page.Element("p", "Nothing recorded.")];
        }

        using var reader = XmlReader.Create(new StringReader(div), new XmlReaderSettings { DtdProcessing = DtdProcessing.Prohibit, XmlResolver = null });
        var nodes = XElement.Load(reader).Nodes().SelectMany(Reduced).ToList();
        return nodes is [XElement first, ..] && first.Value == title ? nodes[1..] : nodes;
    }

    // What is not on the list loses its tag and keeps its words, so that nothing said disappears and nothing runs.
    private static IEnumerable<XNode> Reduced(XNode node) => node switch
    {
        XElement element when Kept.Contains(element.Name.LocalName) => [Page.Element(element.Name.LocalName, element.Nodes().SelectMany(Reduced))],
        XElement element => element.Nodes().SelectMany(Reduced),
        XText text => [new XText(text.Value)],
        _ => [],
    };
}
