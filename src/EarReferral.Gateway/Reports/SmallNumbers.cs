using System.Globalization;

namespace EarReferral.Gateway.Reports;

/// <summary>Hides counts so small that somebody who knows the town could tell who is meant, from those who do not treat the patients.</summary>
/// <remarks>
/// The limit of five is common practice in published health figures in England (from memory; local policy decides). In a group that
/// adds up to a known whole a second figure is hidden with a single hidden one, since it would follow by subtraction. Comparing months
/// or clinics is not guarded against.
/// </remarks>
internal static class SmallNumbers
{
    /// <summary>The smallest count that is shown to everybody; nought is shown too.</summary>
    public const int Least = 5;

    /// <summary>What stands for a small count.</summary>
    public const string Few = "fewer than 5";

    /// <summary>What stands for a count that would give away a small one.</summary>
    public const string Hidden = "not shown";

    /// <summary>The counts of a group as text, in the order of its figures.</summary>
    /// <param name="group">The group.</param>
    /// <param name="hide">True for readers who do not treat the patients.</param>
    public static IReadOnlyList<string> Show(ReportGroup group, bool hide)
    {
        var counts = group.Figures.Select(figure => figure.Items.Count).ToList();
        var texts = counts.ConvertAll(count => count.ToString(CultureInfo.InvariantCulture));
        if (!hide)
        {
            return texts;
        }

        for (var at = 0; at < counts.Count; at++)
        {
            if (IsSmall(counts[at]))
            {
                texts[at] = Few;
            }
        }

        if (group.IsWhole && counts.Count(IsSmall) == 1)
        {
            var next = Enumerable.Range(0, counts.Count).Where(at => counts[at] >= Least).OrderBy(at => counts[at]).Cast<int?>().FirstOrDefault();
            if (next is { } other)
            {
                texts[other] = Hidden;
            }
        }

        return texts;
    }

    /// <summary>Whether times may be shown.</summary>
    public static bool MayShowTimes(ReportGroup group, bool hide) => group.Times is { } times && (!hide || times.Measured >= Least);

    private static bool IsSmall(int count) => count is > 0 and < Least;
}
