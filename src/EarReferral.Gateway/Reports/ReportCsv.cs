using System.Globalization;
using System.Text;
using EarReferral.Gateway.Rules;

namespace EarReferral.Gateway.Reports;

/// <summary>The report as comma-separated values after RFC 4180, with a header.</summary>
internal static class ReportCsv
{
    /// <summary>Writes it.</summary>
    /// <param name="report">The report.</param>
    /// <param name="hide">True for readers who do not treat the patients.</param>
    public static string Write(ClinicReport report, bool hide)
    {
        var text = new StringBuilder();
        Row("clinic", "month", "part", "figure", "key", "unit", "count");
        foreach (var group in report.Groups)
        {
            foreach (var (figure, count) in group.Figures.Zip(SmallNumbers.Show(group, hide)))
            {
                Row(report.Clinic, report.Month.ToString("yyyy-MM", CultureInfo.InvariantCulture), group.Words, figure.Words, figure.Key, group.Unit, count);
            }
        }

        return text.ToString();

        void Row(params IEnumerable<string> cells) => text.AppendJoin(',', cells.Select(ComparisonText.Quoted)).Append("\r\n");
    }
}
