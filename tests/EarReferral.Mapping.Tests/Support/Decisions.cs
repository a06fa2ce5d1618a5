using EarReferral.Encounters;
using EarReferral.Mapping.Record;
using EarReferral.Mapping.Referral;
using EarReferral.Triage.Decisions;

namespace EarReferral.Mapping.Tests.Support;

/// <summary>Decisions as the rules make them; which rule fires when is tested with the rules.</summary>
internal static class Decisions
{
    public static ReferralDestination Ent { get; } = new(DestinationKind.Ent, "WQG07", "Westerquay General, ENT department", "01632 960900");

    public static TriageDecision None(ClinicEncounter encounter) =>
        new(Tier.T4, [], [], encounter.EvaluationInstant, new RuleBookVersion("1.0.0", new string('a', 64)));

    public static TriageDecision Fired(ClinicEncounter encounter, EncounterRecord record, Tier tier, DecisionSide? side = DecisionSide.Right)
    {
        var due = encounter.EvaluationInstant.AddHours(24);
        var observed = record.Observations.First(observation => observation.Code!.Coding.Exists(coding => coding.Code == "hearing-change"));
        var rule = new FiredRule(
            "R-HL-01",
            "https://ear-referral.example/fhir/PlanDefinition/r-hl-01|1.0.0",
            "Sudden hearing loss within 30 days",
            tier,
            RuleStrength.Must,
            side,
            "ent",
            due,
            "within 24 hours",
            "Hearing was lost suddenly within the last 30 days and nothing in the outer or middle ear explains it.",
            "Your hearing was lost suddenly, so a hospital ear doctor must see you quickly.",
            "NICE NG98 1.1.2",
            [new RuleInput("hearingChange", "'sudden'", observed.Id)]);
        var question = new OpenQuestion("R-HL-04", Tier.T2, side, "Does the hearing come and go?", ["hearing-fluctuates"]);
        return new TriageDecision(tier, [rule], [question], encounter.EvaluationInstant, new RuleBookVersion("1.0.0", new string('a', 64)));
    }
}
