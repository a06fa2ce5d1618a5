using System.Security.Cryptography;
using System.Text;
using System.Xml;
using System.Xml.Linq;
using EarReferral.Summary.Drawing;

namespace EarReferral.Summary.Sheets;

/// <summary>A sheet as a page that stands alone: HTML in its XML form, one style sheet inside, no script, nothing loaded from elsewhere.</summary>
public static class HtmlPage
{
    private static readonly XNamespace Space = "http://www.w3.org/1999/xhtml";

    /// <summary>Value of a Content-Security-Policy header under which a page works: its own style sheet and nothing else.</summary>
    public static string ContentSecurityPolicy { get; } =
        $"default-src 'none'; style-src 'sha256-{Convert.ToBase64String(SHA256.HashData(Encoding.UTF8.GetBytes(PageStyle.Sheet)))}'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

    /// <summary>Renders a sheet.</summary>
    /// <param name="sheet">What to render.</param>
    /// <param name="print">How large the words are.</param>
    public static string Render(Sheet sheet, Print print = Print.Usual)
    {
        ArgumentNullException.ThrowIfNull(sheet);
        var root = new XElement(
            Space + "html",
            new XAttribute("lang", sheet.Language),
            new XElement(
                Space + "head",
                new XElement(Space + "meta", new XAttribute("charset", "utf-8")),
                new XElement(Space + "meta", new XAttribute("name", "viewport"), new XAttribute("content", "width=device-width, initial-scale=1")),
                new XElement(Space + "title", sheet.Title),
                new XElement(Space + "style", PageStyle.Sheet)),
            new XElement(
                Space + "body",
                print is Print.Large ? new XAttribute("class", "large") : null,
                new XElement(Space + "main", sheet.Before.SelectMany(Of), Element("h1", sheet.Title), sheet.Blocks.SelectMany(Of))));
        Clean(root);

        var text = new StringBuilder("<!DOCTYPE html>\n");
        using (var writer = XmlWriter.Create(text, new XmlWriterSettings { OmitXmlDeclaration = true, ConformanceLevel = ConformanceLevel.Fragment }))
        {
            root.WriteTo(writer);
        }

        return text.Append('\n').ToString();
    }

    private static IEnumerable<XElement> Of(Block block) => block switch
    {
        Notice notice => [Element("p", new XAttribute("class", "notice"), new XAttribute("role", "note"), notice.Text)],
        Facts facts => [Element("dl", facts.Items.Select(fact => Element("div", Element("dt", fact.Name), Element("dd", Element("bdi", fact.Value)))))],
        Paragraph paragraph => [Element("p", paragraph.IsLead ? new XAttribute("class", "lead") : null, paragraph.Text)],
        Bullets bullets => bullets.Items.Count == 0 ? [] : [Element("ul", bullets.Items.Select(item => Element("li", item)))],
        Pictures pictures => [Element("div", new XAttribute("class", "pictures"), pictures.Items.Select((picture, index) => Figure(picture, pictures.Items.Count == 1 ? pictures.Key : $"{pictures.Key}-{(index == 0 ? "Before" : "After")}")))],
        Section section => [Element("section", section.IsFirst ? new XAttribute("class", "first") : null, Element("h2", section.Title), section.Blocks.SelectMany(Of))],
        SmallPrint small => [Element("footer", small.Paragraphs.Select(paragraph => Element("p", paragraph)))],
        _ => throw new ArgumentOutOfRangeException(nameof(block), block, "Not a part of a sheet."),
    };

    private static XElement Figure(Picture picture, string id) => Element(
        "figure",
        Svg.Render(picture, id),
        Element(
            "figcaption",
            Element("strong", picture.Title),
            Element("ul", picture.Legend.Select(line => Element("li", line.ToString())))));

    private static XElement Element(string name, params object?[] content) => new(Space + name, content);

    // Characters that XML 1.0 cannot carry become U+FFFD, so that one stray control character cannot lose a page. Elements that are not void must not close themselves.
    private static void Clean(XElement root)
    {
        foreach (var text in root.DescendantNodes().OfType<XText>())
        {
            if (text.Value.Any(character => !XmlConvert.IsXmlChar(character) && !char.IsSurrogate(character)))
            {
                text.Value = string.Concat(text.Value.Select(character => XmlConvert.IsXmlChar(character) || char.IsSurrogate(character) ? character : '\uFFFD'));
            }
        }

        foreach (var element in root.Descendants().Where(element => element.Name.Namespace == Space && element.IsEmpty && element.Name.LocalName is not ("meta" or "br")))
        {
            element.Value = string.Empty;
        }
    }
}
