using System.Xml;
using System.Xml.Linq;
using EarReferral.Summary.Sheets;

namespace EarReferral.Summary.Pages;

/// <summary>The narrative of a section as blocks of a sheet: words and lists, nothing that could run.</summary>
internal static class NarrativeBlocks
{
    private static readonly HashSet<string> Containers = new(StringComparer.Ordinal) { "div", "table", "thead", "tbody", "ul", "ol" };

    /// <summary>What stands inside the narrative's <c>div</c>; a first line that only repeats the title is left out.</summary>
    public static IReadOnlyList<Block> Of(string? div, string? title)
    {
        if (div is null)
        {
            return [new Paragraph("Nothing recorded.")];
        }

        using var reader = XmlReader.Create(new StringReader(div), new XmlReaderSettings { DtdProcessing = DtdProcessing.Prohibit, XmlResolver = null });
        var blocks = XElement.Load(reader).Nodes().SelectMany(Blocks).ToList();
        return blocks is [Paragraph first, ..] && first.Text == title ? blocks[1..] : blocks;
    }

    // What is not a list loses its tag and keeps its words, so that nothing said disappears.
    private static IEnumerable<Block> Blocks(XNode node) => node switch
    {
        XElement { Name.LocalName: "ul" or "ol" } list when list.Elements().All(item => !item.Elements().Any(child => Containers.Contains(child.Name.LocalName))) =>
            [new Bullets([.. list.Elements().Select(item => item.Value)])],
        XElement element when Containers.Contains(element.Name.LocalName) => element.Nodes().SelectMany(Blocks),
        XElement { Name.LocalName: "tr" } row => [new Paragraph(string.Join(", ", row.Elements().Select(cell => cell.Value)))],
        XElement element when element.Value.Length > 0 => [new Paragraph(element.Value, IsLead: element.NextNode is XElement { Name.LocalName: "ul" or "ol" })],
        XText text when !string.IsNullOrWhiteSpace(text.Value) => [new Paragraph(text.Value)],
        _ => [],
    };
}
