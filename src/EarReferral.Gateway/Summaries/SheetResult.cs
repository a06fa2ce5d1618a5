using System.Globalization;
using System.Net.Mime;
using System.Security.Cryptography;
using EarReferral.Summary.Paper;
using EarReferral.Summary.Sheets;
using Microsoft.Net.Http.Headers;

namespace EarReferral.Gateway.Summaries;

/// <summary>A sheet in the form that was asked for: a page unless the address or the Accept header says PDF.</summary>
internal static class SheetResult
{
    /// <summary>Whether the Accept header puts PDF before HTML; a browser, which takes anything, gets the page.</summary>
    public static bool AsksForPdf(HttpContext context)
    {
        var accepted = context.Request.GetTypedHeaders().Accept;
        return Weight(MediaTypeNames.Application.Pdf) > Weight(MediaTypeNames.Text.Html);

        double Weight(string type) => accepted.Where(range => range.MediaType.Equals(type, StringComparison.OrdinalIgnoreCase)).Select(range => range.Quality ?? 1).DefaultIfEmpty(0).Max();
    }

    /// <summary>How large the words are, as the query says; null for a word that means nothing here.</summary>
    public static Print? Size(string? print) => print switch
    {
        null or "usual" => Print.Usual,
        "large" => Print.Large,
        _ => null,
    };

    /// <summary>The answer.</summary>
    /// <param name="context">The exchange.</param>
    /// <param name="sheet">What to show.</param>
    /// <param name="id">Identity of what it shows.</param>
    /// <param name="at">When what it shows was written.</param>
    /// <param name="pdf">Whether as PDF.</param>
    /// <param name="print">How large the words are.</param>
    /// <param name="preferOnePage">Whether paper may shrink to one page.</param>
    public static IResult Of(HttpContext context, Sheet sheet, Guid id, string? at, bool pdf, Print print = Print.Usual, bool preferOnePage = false)
    {
        context.Response.Headers.Vary = HeaderNames.Accept;
        if (!pdf)
        {
            context.Response.Headers.ContentSecurityPolicy = HtmlPage.ContentSecurityPolicy;
            return Results.Text(HtmlPage.Render(sheet, print), "text/html; charset=utf-8");
        }

        // The time of the record and not that of the request, so that the same record always gives the same file.
        var written = DateTimeOffset.TryParse(at, CultureInfo.InvariantCulture, DateTimeStyles.AssumeUniversal, out var instant) ? instant : DateTimeOffset.UnixEpoch;
        var bytes = PdfPaper.Render(sheet, id, written, print, preferOnePage);
        return Results.Bytes(bytes, MediaTypeNames.Application.Pdf, entityTag: new EntityTagHeaderValue($"\"{Convert.ToHexStringLower(SHA256.HashData(bytes))}\""));
    }
}
