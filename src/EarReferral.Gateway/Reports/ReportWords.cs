using EarReferral.Encounters;
using EarReferral.Mapping.Codes;
using EarReferral.Triage.Decisions;

namespace EarReferral.Gateway.Reports;

/// <summary>The figures of the report in their order, and in words.</summary>
internal static class ReportWords
{
    /// <summary>About visits as such.</summary>
    public static IReadOnlyList<(string Key, string Words)> Visits { get; } =
    [
        ("visit.all", "Visits"),
        ("visit.corrected", "of these, corrected after they were first posted"),
        ("visit.late", "of these, posted after the deadline of their urgency had passed"),
        ("visit.question-open", "of these, with an open question about an emergency or immediate red flag"),
        ("visit.quarantined", "of these, kept back: our own check refused the record"),
        ("visit.unreadable", "of these, not readable by this version of the program"),
        ("visit.retracted", "Retracted visits, counted nowhere else"),
    ];

    /// <summary>How visits went.</summary>
    public static IReadOnlyList<(string Key, string Words)> Outcomes { get; } =
    [
        ("went.finished", "Every treated ear finished"),
        ("went.incomplete", "Something left that was not meant to stay"),
        ("went.stopped", "Stopped in at least one ear"),
        ("went.not-started", "Not begun in any ear"),
        ("went.looked-only", "Looked at, nothing planned"),
        ("went.not-recorded", "Treated, outcome not recorded"),
        ("went.unreadable", "Not readable by this version of the program"),
    ];

    /// <summary>How ears went.</summary>
    public static IReadOnlyList<(string Key, string Words)> Ears { get; } =
    [
        ("ear.clear", "Cleared"),
        ("ear.thin-layer", "Finished; a thin layer left on the drum on purpose"),
        ("ear.incomplete", "Incomplete"),
        ("ear.stopped", "Stopped before the end"),
        ("ear.not-started", "Not started"),
        ("ear.looked-only", "Looked at, nothing planned"),
        ("ear.not-recorded", "Treated, outcome not recorded"),
    ];

    /// <summary>Why ears were stopped or not begun.</summary>
    public static IReadOnlyList<(string Key, string Words)> Stops { get; } =
        [.. Enum.GetValues<StopReason>().Select(reason => ($"stop.{Code(reason)}", Capital(CodeSystems.Words(reason)))), ("stop.not-recorded", "Reason not recorded")];

    /// <summary>Complications. What was not recorded is counted apart: not asked is never no.</summary>
    public static IReadOnlyList<(string Key, string Words)> Complications { get; } =
    [
        ("harm.bleeding-stopped", "Bleeding that stopped"),
        ("harm.bleeding-not-stopping", "Bleeding that did not stop"),
        ("harm.pain-mild", "Mild pain during the procedure"),
        ("harm.pain-moderate", "Moderate pain during the procedure"),
        ("harm.pain-severe", "Severe pain during the procedure"),
        ("harm.new-perforation", "New hole in the drum"),
        ("harm.tinnitus", "New or louder tinnitus"),
        ("harm.vertigo-transient", "Vertigo that passed"),
        ("harm.vertigo-at-leaving", "Vertigo still present at leaving"),
        ("harm.faint", "Faint"),
        ("harm.fall", "Fall"),
        ("harm.head-strike", "Struck the head"),
        ("harm.facial-weakness", "New facial weakness"),
        ("harm.ear-not-recorded", "Treated ears of which nothing about complications was recorded"),
    ];

    /// <summary>Urgency of visits.</summary>
    public static IReadOnlyList<(string Key, string Words)> Tiers { get; } =
        [.. new[] { Tier.T0, Tier.T1, Tier.T2, Tier.T2C, Tier.T3, Tier.T4 }.Select(tier => ($"tier.{tier}", $"{tier}, {Pages.Desk.DeskWords.Tier(tier.ToString())}"))];

    /// <summary>What clinicians decided otherwise, or answered to a rule.</summary>
    public static IReadOnlyList<(string Key, string Words)> Own { get; } =
    [
        ("own.raised", "Tier raised by the clinician"),
        ("own.lowered", "Tier lowered by the clinician"),
        ("own.same", "Tier named by the clinician, the same as by the rules"),
        .. Enum.GetValues<RuleResponseKind>().Select(kind => ($"own.{Code(kind)}", $"Rule answered: {CodeSystems.Words(kind)}")),
    ];

    private static string Code<TEnum>(TEnum value)
        where TEnum : struct, Enum => CodeSystems.Words(value).Replace(' ', '-');

    private static string Capital(string words) => char.ToUpperInvariant(words[0]) + words[1..];
}
