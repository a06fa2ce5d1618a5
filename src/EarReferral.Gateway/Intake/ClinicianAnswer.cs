using System.ComponentModel;
using System.Text.Json.Nodes;
using EarReferral.Encounters.Reading;

namespace EarReferral.Gateway.Intake;

/// <summary>An answer to one rule that fired; the members are those of the contract, so that it is stored as a visit would carry it.</summary>
internal sealed record ClinicianAnswer
{
    private static readonly IReadOnlyList<string> Kinds = ["declinedByPatient", "alreadyReferred", "handedOverByPhone", "handedOverWithPatient"];

    [Description("Number of a rule that fired, as the receipt gives it.")]
    public string? RuleId { get; init; }

    [Description("right or left; left out for every side that it fired for.")]
    public string? Side { get; init; }

    [Description("declinedByPatient, alreadyReferred, handedOverByPhone or handedOverWithPatient.")]
    public string? Kind { get; init; }

    [Description("Why, in words.")]
    public string? Reason { get; init; }

    [Description("To whom it was handed, or referred before. Not for a refusal.")]
    public string? HandedTo { get; init; }

    [Description("When it was handed over, with seconds and offset. For the two handovers.")]
    public string? HandedAt { get; init; }

    [Description("When it was referred before, as exactly as known. For an earlier referral.")]
    public string? ReferredOn { get; init; }

    [Description("hasCapacity or parentalResponsibility. For a refusal.")]
    public string? Capacity { get; init; }

    [Description("yes when the risks were explained. For a refusal.")]
    public string? RisksExplained { get; init; }

    [Description("Second confirmation, for rules of T0 and T1.")]
    public string? ConfirmedBy { get; init; }

    /// <summary>Everything that is wrong with its form.</summary>
    /// <param name="pointer">Where it stands.</param>
    public IEnumerable<EncounterProblem> Problems(string pointer)
    {
        if (!ClinicianDecision.Fits(RuleId, 32))
        {
            yield return IntakeProblems.DecisionRule.At($"{pointer}/ruleId");
        }

        if (Kind is null || !Kinds.Contains(Kind))
        {
            yield return IntakeProblems.DecisionKind.At($"{pointer}/kind");
        }

        if (!ClinicianDecision.Fits(Reason, 2000))
        {
            yield return IntakeProblems.DecisionReason.At($"{pointer}/reason");
        }
    }

    /// <summary>As the contract writes it, without who and when.</summary>
    public JsonObject Write()
    {
        var entry = new JsonObject();
        foreach (var (name, value) in new[]
        {
            ("ruleId", RuleId), ("side", Side), ("kind", Kind), ("reason", Reason), ("handedTo", HandedTo), ("handedAt", HandedAt),
            ("referredOn", ReferredOn), ("capacity", Capacity), ("risksExplained", RisksExplained),
        })
        {
            if (value is not null)
            {
                entry[name] = value;
            }
        }

        return entry;
    }

    /// <summary>Whether a stored answer is about the same rule and side.</summary>
    public bool Replaces(JsonNode stored) => (string?)stored["ruleId"] == RuleId && (string?)stored["side"] == Side;
}
