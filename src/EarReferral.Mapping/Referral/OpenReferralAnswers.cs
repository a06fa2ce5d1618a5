using EarReferral.Encounters;
using EarReferral.Triage.Decisions;

namespace EarReferral.Mapping.Referral;

/// <summary>Answers the rules of a visit by a referral that is open already, in the way in which a clinician says that a patient was referred before.</summary>
public static class OpenReferralAnswers
{
    /// <summary>Who is named as having answered.</summary>
    public const string Person = "the referral gateway";

    /// <summary>The encounter with an answer to each rule that stands.</summary>
    /// <param name="encounter">The encounter.</param>
    /// <param name="decision">What the rules decided about it.</param>
    /// <param name="receiver">Who has the open referral, for people.</param>
    /// <param name="decidedAt">Decision instant of the open referral.</param>
    public static ClinicEncounter Add(ClinicEncounter encounter, TriageDecision decision, string receiver, DateTimeOffset decidedAt)
    {
        var day = DateOnly.FromDateTime(TimeZoneInfo.ConvertTime(decidedAt, TimeZoneInfo.FindSystemTimeZoneById(encounter.ClinicTimeZone)).DateTime);
        return encounter with
        {
            RuleResponses =
            [
                .. encounter.RuleResponses,
                .. RuleAnswers.Standing(encounter, decision).Select(rule => new RuleResponse
                {
                    RuleId = rule.Id,
                    Side = rule.Side is { } side ? ReferralMapper.Side(side) : null,
                    Kind = RuleResponseKind.AlreadyReferred,
                    Reason = "That referral is open, for the same reason and no less urgent. The receiver is told of this visit.",
                    Person = Person,
                    At = encounter.EvaluationInstant,
                    HandedTo = receiver,
                    ReferredOn = new PartialDate(day.Year, day.Month, day.Day),
                }),
            ],
        };
    }
}
