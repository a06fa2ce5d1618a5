using EarReferral.Encounters;
using EarReferral.Triage.Decisions;

namespace EarReferral.Mapping.Referral;

/// <summary>Where the source of a rule sends the case, and so who acts; each action has one owner.</summary>
internal static class RuleDestination
{
    /// <summary>The kind of service that a referring rule names.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The rule book names a service that the mapping does not know.</exception>
    public static DestinationKind Of(FiredRule rule) => rule.Destination switch
    {
        "ent" => DestinationKind.Ent,
        "emergency" => DestinationKind.Emergency,
        "gp" => DestinationKind.Gp,
        "audiology" => DestinationKind.Audiology,
        "crisis-team" => DestinationKind.CrisisTeam,
        _ => throw new ArgumentOutOfRangeException(nameof(rule), rule.Destination, $"{rule.Id} names a kind of receiver that the mapping does not know."),
    };

    /// <summary>Who does what, in one sentence that starts with its owner.</summary>
    public static string Action(FiredRule rule, ClinicEncounter encounter) => Of(rule) switch
    {
        DestinationKind.Emergency => "First by phone: 999 / emergency department.",
        DestinationKind.CrisisTeam => "First by phone: mental health crisis team; the patient must not be left alone.",
        DestinationKind.Audiology => $"The clinic: please refer to audiology ({rule.TimeLimit}); nothing has been sent there yet.",
        DestinationKind.Ent => rule.Tier is Tier.T0 or Tier.T1
            ? "First by phone: ENT clinician on call; then this referral."
            : $"ENT: please see the patient ({rule.TimeLimit}).",
        DestinationKind.Gp when encounter.Patient.GpPractice is null =>
            $"The clinic: no GP practice is recorded, so please arrange this yourselves ({rule.TimeLimit}).",
        DestinationKind.Gp => rule.Tier switch
        {
            Tier.T2C => "GP: please make a suspected-cancer referral today; this clinic has not made one.",
            Tier.T0 or Tier.T1 => $"GP: please see the patient {rule.TimeLimit}.",
            Tier.T2 or Tier.T3 or Tier.T4 => $"GP: please refer ({rule.TimeLimit}); this clinic has not made that referral.",
        },
    };

    /// <summary>Says when the receiver of a referral is not the one whom the most urgent rules name; null when it is.</summary>
    public static string? Copy(IReadOnlyList<FiredRule> fired, DestinationKind receiver, string name)
    {
        var mine = fired.Where(rule => Of(rule) == receiver).ToList();
        return fired.Count == 0 || mine.Exists(rule => rule.Tier == fired.Max(any => any.Tier))
            ? null
            : $"This copy to {name} is for information: the most urgent reason is for another service, named below."
                + (mine.Count == 0 ? string.Empty : $" {name} is asked to act on {string.Join(", ", mine.Select(rule => rule.Id).Distinct(StringComparer.Ordinal))} only.");
    }
}
