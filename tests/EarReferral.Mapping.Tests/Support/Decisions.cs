using EarReferral.Encounters;
using EarReferral.Mapping.Record;
using EarReferral.Mapping.Referral;
using EarReferral.Triage.Decisions;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Tests.Support;

/// <summary>Decisions as the rules make them; which rule fires when is tested with the rules.</summary>
internal static class Decisions
{
    public static ReferralDestination Ent { get; } = new(DestinationKind.Ent, "WQG07", "Westerquay General, ENT department", "01632 960900");

    public static TriageDecision None(ClinicEncounter encounter) =>
        new(Tier.T4, [], [], encounter.EvaluationInstant, new RuleBookVersion("1.0.0", new string('a', 64)));

    public static TriageDecision Of(ClinicEncounter encounter, IReadOnlyList<FiredRule> fired, params OpenQuestion[] questions) =>
        new(fired.Count == 0 ? Tier.T4 : fired.Max(rule => rule.Tier), fired, questions, encounter.EvaluationInstant, new RuleBookVersion("1.0.0", new string('a', 64)));

    /// <summary>A rule with a sentence, a patient text and a source that name it, so that a test finds them again.</summary>
    public static FiredRule Rule(ClinicEncounter encounter, string id, Tier tier, string destination, DecisionSide? side, params Observation[] inputs) => new(
        id,
        $"https://ear-referral.example/fhir/PlanDefinition/{id}|1.0.0",
        $"Title of {id}",
        tier,
        RuleStrength.Must,
        side,
        destination,
        encounter.EvaluationInstant.AddHours(tier is Tier.T0 ? 4 : 336),
        tier is Tier.T0 ? "today, within 4 hours" : "within 2 weeks",
        $"Reason of {id}.",
        $"Patient text of {id}.",
        "NICE NG127, limb or facial weakness (number from memory) (seen in the issuing body's text)",
        [.. inputs.Select(input => new RuleInput("input", "true", input.Id))]);

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
