using System.Security.Cryptography;
using System.Text;
using System.Xml;
using System.Xml.Linq;

namespace EarReferral.Summary.Pages;

/// <summary>The frame of a page: HTML in its XML form, one style sheet inside, no script.</summary>
public static class Page
{
    private static readonly XNamespace Space = "http://www.w3.org/1999/xhtml";

    /// <summary>Value of a Content-Security-Policy header under which a page works: its own style sheet and nothing else.</summary>
    public static string ContentSecurityPolicy { get; } =
        $"default-src 'none'; style-src 'sha256-{Convert.ToBase64String(SHA256.HashData(Encoding.UTF8.GetBytes(PageStyle.Sheet)))}'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

    internal static string Of(string title, string language, IEnumerable<XElement> content)
    {
        var root = new XElement(
            Space + "html",
            new XAttribute("lang", language),
            new XElement(
                Space + "head",
                new XElement(Space + "meta", new XAttribute("charset", "utf-8")),
                new XElement(Space + "meta", new XAttribute("name", "viewport"), new XAttribute("content", "width=device-width, initial-scale=1")),
                new XElement(Space + "title", title),
                new XElement(Space + "style", PageStyle.Sheet)),
            new XElement(Space + "body", new XElement(Space + "main", content)));
        Clean(root);

        var text = new StringBuilder("<!DOCTYPE html>\n");
        using (var writer = XmlWriter.Create(text, new XmlWriterSettings { OmitXmlDeclaration = true, ConformanceLevel = ConformanceLevel.Fragment }))
        {
            root.WriteTo(writer);
        }

        return text.Append('\n').ToString();
    }

    internal static XElement Element(string name, params object?[] content) => new(Space + name, content);

    internal static XElement Notice(string text) => new(Space + "p", new XAttribute("class", "notice"), new XAttribute("role", "note"), text);

    internal static XElement Facts(params (string Name, string Value)[] facts) =>
        new(Space + "dl", facts.Select(fact => new XElement(Space + "div", new XElement(Space + "dt", fact.Name), new XElement(Space + "dd", new XElement(Space + "bdi", fact.Value)))));

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
