using System.Globalization;
using System.Net;
using System.Text;
using Spectre.Console;

namespace EarReferral.Gateway.Rules;

/// <summary>A comparison as a table for the terminal, as CSV and as a page of its own.</summary>
internal static class ComparisonText
{
    private static readonly string[] Columns = ["clinic", "encounter", "revision", "decided at", "tier then", "tier now", "newly fired", "no longer fired", "questions opened", "questions closed"];

    /// <summary>The figures in one sentence.</summary>
    public static string Figures(ComparisonReport report) => string.Create(
        CultureInfo.InvariantCulture,
        $"{report.Compared} encounters decided again: {report.Changed.Count} differ, {report.NewlyFlagged} newly flagged, {report.NoLongerFlagged} no longer flagged, {report.TierChanged} with another tier; {report.NotCompared.Count} could not be decided again.");

    /// <summary>A table for the terminal.</summary>
    public static Table Table(ComparisonReport report)
    {
        var table = new Table().AddColumns(Columns).Border(TableBorder.Simple);
        foreach (var row in Rows(report))
        {
            table.AddRow([.. row.Select(Markup.Escape)]);
        }

        return table;
    }

    /// <summary>Comma-separated values after RFC 4180, with a header.</summary>
    public static string Csv(ComparisonReport report)
    {
        var text = new StringBuilder();
        foreach (var row in Rows(report).Prepend(Columns))
        {
            text.AppendJoin(',', row.Select(Quoted)).Append("\r\n");
        }

        return text.ToString();
    }

    /// <summary>A page that needs nothing else.</summary>
    public static string Html(ComparisonReport report)
    {
        var text = new StringBuilder();
        text.Append("<!doctype html>\n<html lang=\"en\">\n<head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width\"><title>Rule set compared</title>\n")
            .Append("<style>body{font:1rem/1.5 system-ui,sans-serif;margin:2rem;max-width:80rem}table{border-collapse:collapse}th,td{border:1px solid;padding:.25rem .5rem;text-align:left;vertical-align:top}:root{color-scheme:light dark}</style></head>\n<body>\n<main>\n")
            .Append("<h1>What another rule set would have decided</h1>\n")
            .Append(CultureInfo.InvariantCulture, $"<p>Candidate: {Encoded(report.Candidate)}. {Encoded(report.Since is { } since ? $"Encounters decided since {since:yyyy-MM-dd}." : "All stored encounters.")}</p>\n")
            .Append(CultureInfo.InvariantCulture, $"<p>{Encoded(Figures(report))}</p>\n")
            .Append("<p>Nothing was changed or sent. A clinician decides whether the set is taken.</p>\n");
        Append(text, "Encounters with a difference", Columns, Rows(report));
        Append(text, "Encounters that could not be decided again", ["clinic", "encounter", "revision", "why"], report.NotCompared.Select(missed =>
            (string[])[missed.Clinic, missed.EncounterId, missed.Revision.ToString(CultureInfo.InvariantCulture), missed.Why]));
        return text.Append("</main>\n</body>\n</html>\n").ToString();
    }

    private static void Append(StringBuilder text, string caption, string[] columns, IEnumerable<string[]> rows)
    {
        text.Append(CultureInfo.InvariantCulture, $"<table><caption>{Encoded(caption)}</caption>\n<thead><tr>");
        foreach (var column in columns)
        {
            text.Append(CultureInfo.InvariantCulture, $"<th scope=\"col\">{Encoded(column)}</th>");
        }

        text.Append("</tr></thead>\n<tbody>\n");
        foreach (var row in rows)
        {
            text.Append("<tr>").AppendJoin("", row.Select(cell => $"<td>{Encoded(cell)}</td>")).Append("</tr>\n");
        }

        text.Append("</tbody></table>\n");
    }

    private static IEnumerable<string[]> Rows(ComparisonReport report) => report.Changed.Select(changed => (string[])
    [
        changed.Clinic,
        changed.EncounterId,
        changed.Revision.ToString(CultureInfo.InvariantCulture),
        changed.DecidedAt.ToString("yyyy-MM-dd HH:mm zzz", CultureInfo.InvariantCulture),
        changed.Difference.TierBefore,
        changed.Difference.TierAfter,
        string.Join("; ", changed.Difference.NewlyFired),
        string.Join("; ", changed.Difference.NoLongerFired),
        string.Join("; ", changed.Difference.QuestionsOpened),
        string.Join("; ", changed.Difference.QuestionsClosed),
    ]);

    private static string Encoded(string value) => WebUtility.HtmlEncode(value);

    // A cell that a spreadsheet would take for a formula begins with an apostrophe: the clinic's own numbers are not ours to trust.
    internal static string Quoted(string value)
    {
        var safe = value.Length > 0 && "=+-@\t\r".Contains(value[0], StringComparison.Ordinal) ? "'" + value : value;
        return safe.AsSpan().IndexOfAny("\",\r\n") < 0 ? safe : $"\"{safe.Replace("\"", "\"\"", StringComparison.Ordinal)}\"";
    }
}
