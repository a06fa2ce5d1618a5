namespace EarReferral.Gateway.Reports;

/// <summary>One thing that a figure counts. Holds no patient data beyond the clinic's own number of the visit.</summary>
/// <param name="Visit">Key of the visit; null for a refused document, of which nothing is stored.</param>
/// <param name="Number">The clinic's own number of the visit; empty where it could not be read.</param>
/// <param name="At">When it was decided or refused.</param>
/// <param name="Side">The ear, where ears are counted.</param>
/// <param name="Note">A reason that was written down, for clinical roles alone.</param>
/// <param name="ReferralId">The referral, where referrals are counted.</param>
internal sealed record CountedItem(Guid? Visit, string Number, DateTimeOffset At, string? Side = null, string? Note = null, string? ReferralId = null);

/// <summary>One figure: how many, and which.</summary>
/// <param name="Key">Stable name of the figure within the report.</param>
/// <param name="Words">What is counted, in words.</param>
/// <param name="Items">What was counted, one by one.</param>
internal sealed record ReportFigure(string Key, string Words, IReadOnlyList<CountedItem> Items);

/// <summary>Figures that belong together.</summary>
/// <param name="Words">Heading.</param>
/// <param name="Unit">What is counted: visits, ears, referrals, documents.</param>
/// <param name="IsWhole">True when each thing is counted exactly once, so that a hidden figure could be found by subtraction.</param>
/// <param name="Figures">The figures.</param>
internal sealed record ReportGroup(string Words, string Unit, bool IsWhole, IReadOnlyList<ReportFigure> Figures)
{
    /// <summary>What a reader must know before using the figures.</summary>
    public string? Caution { get; init; }

    /// <summary>The middle of the times that were measured, and the longest; null where none was.</summary>
    public (TimeSpan Middle, TimeSpan Longest, int Measured)? Times { get; init; }
}

/// <summary>What one clinic did in one month, as it stands now.</summary>
/// <param name="Month">The month, by each visit's own clock.</param>
/// <param name="Clinic">The clinic.</param>
/// <param name="MadeAt">When it was counted.</param>
/// <param name="Groups">The figures.</param>
internal sealed record ClinicReport(DateOnly Month, string Clinic, DateTimeOffset MadeAt, IReadOnlyList<ReportGroup> Groups)
{
    /// <summary>The figure of a key; null when there is none.</summary>
    public (ReportGroup Group, ReportFigure Figure)? Find(string key) =>
        Groups.SelectMany(group => group.Figures.Select(figure => ((ReportGroup, ReportFigure)?)(group, figure))).FirstOrDefault(each => each!.Value.Item2.Key == key);
}
