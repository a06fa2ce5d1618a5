using EarReferral.Encounters.Reading;

namespace EarReferral.Encounters.Rules;

/// <summary>The rules between members, in the order in which their problems are reported.</summary>
internal static class EncounterRules
{
    private static readonly Func<RuleSubject, IEnumerable<EncounterProblem>>[] Ordered =
    [
        RevisionRule.Check,
        TimeRule.Check,
        HistoryDateRule.Check,
        PatientRule.Check,
        NhsNumberRule.Check,
        ConsentRule.Check,
        SideRule.Check,
        SymptomRule.Check,
        HearingRule.Check,
        AudiogramRule.Check,
        DrumRule.Check,
        LocationRule.Check,
        LocatedSignRule.Check,
        DepositRule.Check,
        StepRule.Check,
        OutcomeRule.Check,
        ComplicationRule.Check,
        ScreeningRule.Check,
    ];

    /// <summary>All contradictions of an encounter.</summary>
    public static IReadOnlyList<EncounterProblem> Check(ClinicEncounter encounter, EncounterReaderOptions options)
    {
        var subject = new RuleSubject(encounter, options, ZoneOf(encounter.ClinicTimeZone));
        return [.. Ordered.SelectMany(rule => rule(subject))];
    }

    // Windows names are known to the platform too, but the contract asks for IANA names.
    private static TimeZoneInfo? ZoneOf(string name) =>
        TimeZoneInfo.TryFindSystemTimeZoneById(name, out var zone) && zone.HasIanaId ? zone : null;
}
