using EarReferral.Storage.Refusals;

namespace EarReferral.Gateway.Reports;

/// <summary>Puts what visits and refusals add up to into groups; pure.</summary>
internal static class ReportGroups
{
    /// <summary>The groups that come from visits.</summary>
    public static IEnumerable<ReportGroup> OfVisits(IReadOnlyList<VisitTally> visits)
    {
        yield return Group("Visits", "visits", false, ReportWords.Visits, visits.SelectMany(visit => visit.State().Select(key => (key, visit.Item()))));
        yield return Group("How the visits went", "visits", true, ReportWords.Outcomes, visits.Where(visit => visit.Outcome() is not null).Select(visit => (visit.Outcome()!, visit.Item()))) with
        {
            Caution = "A visit is counted once, by the ear that went least well.",
        };
        yield return Group("Ears", "ears", true, ReportWords.Ears, visits.SelectMany(visit => visit.Ears().Select(ear => (ear.Figure, visit.Item(ear.Side)))));
        yield return Group("Why ears were stopped or not begun", "ears", true, ReportWords.Stops, visits.SelectMany(visit => visit.Stops().Select(stop => (stop.Figure, visit.Item(stop.Side)))));
        yield return Group("Complications", "records", false, ReportWords.Complications, visits.SelectMany(visit => visit.Complications().Select(harm => (harm.Figure, visit.Item(harm.Side))))) with
        {
            Caution = "Recorded at the visit. What came later is not here. Not recorded does not mean that there was none.",
        };
        yield return Group("Urgency by the rules and the clinician", "visits", true, ReportWords.Tiers, visits.Where(visit => !visit.Stored.IsRetracted).Select(visit => ($"tier.{visit.Stored.Tier}", visit.Item())));
        yield return Rules(visits);
        yield return Group("What clinicians decided themselves", "visits", false, ReportWords.Own, visits.SelectMany(visit => visit.Decided().Select(own => (own.Figure, visit.Item(note: own.Reason))))) with
        {
            Caution = "The reasons stand in the list behind each figure.",
        };
    }

    /// <summary>Documents that were refused and of which nothing is stored.</summary>
    public static ReportGroup Refused(IReadOnlyList<Refusal> refused)
    {
        var items = refused.SelectMany(refusal => refusal.ProblemIds.Distinct(StringComparer.Ordinal).Select(problem => ($"refused.{problem}", refusal))).ToLookup(each => each.Item1, each => Item(each.refusal), StringComparer.Ordinal);
        return new ReportGroup("Refused documents", "documents", IsWhole: false,
        [
            new ReportFigure("refused", "Refused documents", [.. refused.Select(Item)]),
            new ReportFigure("refused-red-flag", "of these, with a red flag in the part that could be read", [.. refused.Where(refusal => refusal.ProvisionalTier is not (null or "T4")).Select(Item)]),
            .. items.OrderByDescending(each => each.Count()).ThenBy(each => each.Key, StringComparer.Ordinal).Select(each => new ReportFigure(each.Key, $"Problem {each.Key["refused.".Length..]}", [.. each])),
        ])
        {
            Caution = "One document can have several problems, and can have been posted rightly afterwards.",
        };
    }

    private static ReportGroup Rules(IReadOnlyList<VisitTally> visits)
    {
        var fired = visits.SelectMany(visit => visit.Rules().Select(rule => (rule, visit))).GroupBy(each => each.rule.Id, StringComparer.Ordinal);
        return new ReportGroup("Red flags by rule", "visits", IsWhole: false,
            [.. fired.OrderByDescending(rule => rule.First().rule.Tier).ThenBy(rule => rule.Key, StringComparer.Ordinal).Select(rule => new ReportFigure($"rule.{rule.Key}", $"{rule.Key}, {rule.First().rule.Tier}: {rule.First().rule.Title}", [.. rule.Select(each => each.visit.Item())]))])
        {
            Caution = "A rule that fired is a question to the clinician, not a diagnosis. Rules that never fired are not listed.",
        };
    }

    private static CountedItem Item(Refusal refusal) => new(null, refusal.ClinicEncounterId ?? string.Empty, refusal.At, Note: refusal.ProvisionalTier);

    private static ReportGroup Group(string words, string unit, bool isWhole, IReadOnlyList<(string Key, string Words)> figures, IEnumerable<(string Key, CountedItem Item)> counted)
    {
        var items = counted.ToLookup(each => each.Key, each => each.Item, StringComparer.Ordinal);
        return new ReportGroup(words, unit, isWhole, [.. figures.Select(figure => new ReportFigure(figure.Key, figure.Words, [.. items[figure.Key]]))]);
    }
}
