using EarReferral.Encounters;
using EarReferral.Mapping.Codes;
using EarReferral.Storage.Encounters;
using EarReferral.Triage.Decisions;

namespace EarReferral.Gateway.Reports;

/// <summary>What one visit adds to the figures of its clinic; pure.</summary>
/// <param name="Stored">The visit as it is stored.</param>
/// <param name="Read">Its document; null where this program cannot read it, or it was retracted.</param>
/// <param name="Decision">The decision that stands; null where none is kept.</param>
internal sealed record VisitTally(StoredEncounter Stored, ClinicEncounter? Read, TriageDecision? Decision)
{
    /// <summary>The visit as a counted thing.</summary>
    public CountedItem Item(string? side = null, string? note = null) => new(Stored.EncounterKey, Stored.ClinicEncounterId, Stored.EvaluatedAt, side, note);

    /// <summary>Which of the figures about the visit as such it adds to.</summary>
    public IEnumerable<string> State()
    {
        if (Stored.IsRetracted)
        {
            yield return "visit.retracted";
            yield break;
        }

        yield return "visit.all";
        if (Stored.Revision > 1)
        {
            yield return "visit.corrected";
        }

        if (Stored.IsQuarantined)
        {
            yield return "visit.quarantined";
        }

        if (Stored.Late)
        {
            yield return "visit.late";
        }

        if (Decision is { IsTriaged: false })
        {
            yield return "visit.question-open";
        }

        if (Read is null)
        {
            yield return "visit.unreadable";
        }
    }

    /// <summary>The one figure about how the visit went that it adds to: what went least well of its ears.</summary>
    public string? Outcome()
    {
        if (Stored.IsRetracted)
        {
            return null;
        }

        var ears = Read?.Ears.Select(Ear).ToList() ?? [];
        return Read is null ? "went.unreadable"
            : ears.Contains("ear.stopped") ? "went.stopped"
            : ears.Contains("ear.incomplete") ? "went.incomplete"
            : ears.Contains("ear.not-recorded") ? "went.not-recorded"
            : ears.Any(ear => ear is "ear.clear" or "ear.thin-layer") ? "went.finished"
            : ears.Contains("ear.not-started") ? "went.not-started"
            : "went.looked-only";
    }

    /// <summary>Each ear with the one figure that it adds to.</summary>
    public IEnumerable<(string Figure, string Side)> Ears() => (Read?.Ears ?? []).Select(ear => (Ear(ear), Side(ear)));

    /// <summary>Why a procedure was stopped or not begun.</summary>
    public IEnumerable<(string Figure, string Side)> Stops() => (Read?.Ears ?? [])
        .Where(ear => ear.Outcome?.Result is OutcomeResult.Abandoned or OutcomeResult.NotStarted)
        .Select(ear => (ear.Outcome!.StopReason is { } reason ? $"stop.{Code(reason)}" : "stop.not-recorded", Side(ear)));

    /// <summary>What was recorded of complications, per ear and of the whole patient; and where nothing was.</summary>
    public IEnumerable<(string Figure, string? Side)> Complications()
    {
        foreach (var ear in (Read?.Ears ?? []).Where(WasTreated))
        {
            var (side, found) = (Side(ear), ear.Complications);
            if (found is null)
            {
                yield return ("harm.ear-not-recorded", side);
                continue;
            }

            if (found.Bleeding is Bleeding.Stopped or Bleeding.NotStopping)
            {
                yield return (found.Bleeding is Bleeding.Stopped ? "harm.bleeding-stopped" : "harm.bleeding-not-stopping", side);
            }

            if (found.Pain is Severity.Mild or Severity.Moderate or Severity.Severe)
            {
                yield return ($"harm.pain-{Code(found.Pain.Value)}", side);
            }

            if (found.NewPerforation is Sign.Present)
            {
                yield return ("harm.new-perforation", side);
            }

            if (found.TinnitusNewOrLouder is Answer.Yes)
            {
                yield return ("harm.tinnitus", side);
            }
        }

        foreach (var figure in OfPatient(Read?.Complications))
        {
            yield return (figure, null);
        }
    }

    /// <summary>What the clinicians decided otherwise than the rules, with the reason that they wrote down.</summary>
    public IEnumerable<(string Figure, string Reason)> Decided()
    {
        if (Read?.TierOverride is { } own && Decision is { } decision)
        {
            var tier = Enum.Parse<Tier>(own.Tier.ToString());
            yield return (tier > decision.Tier ? "own.raised" : tier < decision.Tier ? "own.lowered" : "own.same", $"{decision.Tier} to {tier}: {own.Reason}");
        }

        foreach (var response in Read?.RuleResponses ?? [])
        {
            yield return ($"own.{Code(response.Kind)}", $"{response.RuleId}: {response.Reason}");
        }
    }

    /// <summary>Every rule of a referring tier that fired, once for the visit.</summary>
    public IEnumerable<FiredRule> Rules() => Stored.IsRetracted ? [] : (Decision?.Fired ?? []).Where(rule => rule.Tier is not Tier.T4).DistinctBy(rule => rule.Id);

    /// <summary>The side in words.</summary>
    public static string Side(EarExamination ear) => ear.Side is EarSide.Right ? "right" : "left";

    private static string Ear(EarExamination ear) => ear.Outcome?.Result switch
    {
        OutcomeResult.Clear => "ear.clear",
        OutcomeResult.ThinLayerLeftOnDrum => "ear.thin-layer",
        OutcomeResult.Incomplete => "ear.incomplete",
        OutcomeResult.Abandoned => "ear.stopped",
        OutcomeResult.NotStarted => "ear.not-started",
        null => ear.Steps.Count > 0 ? "ear.not-recorded" : "ear.looked-only",
    };

    private static bool WasTreated(EarExamination ear) => ear.Steps.Count > 0;

    private static IEnumerable<string> OfPatient(PatientComplications? found)
    {
        if (found?.Vertigo is ProcedureVertigo.Transient or ProcedureVertigo.StillPresentAtLeaving)
        {
            yield return found.Vertigo is ProcedureVertigo.Transient ? "harm.vertigo-transient" : "harm.vertigo-at-leaving";
        }

        foreach (var (answer, figure) in new[] { (found?.Faint, "harm.faint"), (found?.Fall, "harm.fall"), (found?.HeadStrike, "harm.head-strike"), (found?.NewFacialWeakness, "harm.facial-weakness") })
        {
            if (answer is Answer.Yes)
            {
                yield return figure;
            }
        }
    }

    private static string Code<TEnum>(TEnum value)
        where TEnum : struct, Enum => CodeSystems.Words(value).Replace(' ', '-');
}
