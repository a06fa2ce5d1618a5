using EarReferral.Gateway.Configuration;
using EarReferral.Triage.Decisions;

namespace EarReferral.Gateway.Intake;

/// <summary>Whom to phone for the rules that fired; an electronic referral goes to one receiver only, so everybody else is phoned.</summary>
internal static class PhoneCalls
{
    /// <summary>The calls, most urgent first, one per kind of receiver.</summary>
    /// <param name="rules">Rules that fired and are neither settled nor handed over by phone.</param>
    /// <param name="clinic">The clinic, with the numbers it phones.</param>
    /// <param name="kind">What kind of receiver the referral goes to.</param>
    /// <param name="name">Who answers there at this hour.</param>
    /// <param name="phone">Their number.</param>
    public static IReadOnlyList<ReceiptCall> For(IReadOnlyList<FiredRule> rules, ClinicOptions clinic, string kind, string name, string? phone) =>
    [
        .. rules
            .Where(rule => rule.Tier is Tier.T0 or Tier.T1 || (rule.Tier is not Tier.T4 && rule.Destination != kind))
            .GroupBy(rule => rule.Destination)
            .OrderByDescending(group => group.Max(rule => rule.Tier))
            .Select(group => new ReceiptCall(
                group.Key,
                group.Key == kind && kind != "ent" ? name : Who(group.Key, kind == "ent" ? name : "ENT department"),
                group.Key == kind ? phone : clinic.Phones.GetValueOrDefault(group.Key) ?? (group.Key == "emergency" ? "999" : null),
                [.. group.Select(rule => rule.Id).Distinct()],
                group.MaxBy(rule => rule.Tier)!.TimeLimit)),
    ];

    private static string Who(string kind, string ent) => kind switch
    {
        "emergency" => "Emergency services or the emergency department",
        "ent" => $"{ent}, on-call clinician",
        "gp" => "The patient's GP practice",
        "crisis-team" => "Crisis mental-health team; do not leave the patient alone until assessed",
        "audiology" => "Audiology service",
        _ => kind,
    };
}
