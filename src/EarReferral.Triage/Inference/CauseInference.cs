using EarReferral.Triage.Decisions;
using EarReferral.Triage.Evaluation;
using EarReferral.Triage.Rules;
using Hl7.Fhir.Model;

namespace EarReferral.Triage.Inference;

/// <summary>Reads likely causes and open ends out of a record, as provisional statements only.</summary>
/// <remarks>
/// A finding that was not asked, not seen, or given twice with different answers supports nothing. That wax was probably pushed inward is a
/// question that the mapping of deposits puts; it is not repeated here.
/// </remarks>
public static class CauseInference
{
    private const string Logic = "follows from the findings; no published source";

    /// <summary>All statements, right ear first, then left, then the patient; empty when nothing follows.</summary>
    /// <param name="record">Observations of one encounter; other resources are ignored and nothing is changed.</param>
    public static IReadOnlyList<ProvisionalStatement> Of(IReadOnlyList<Resource> record)
    {
        var index = new RecordIndex(record);
        return [.. OfEar(index, DecisionSide.Right), .. OfEar(index, DecisionSide.Left), .. OfPatient(index)];
    }

    private static IEnumerable<ProvisionalStatement> OfEar(RecordIndex index, DecisionSide side)
    {
        if (Said(index, "drum-visualised", side, "after") is { } view && view.Value != "fully")
        {
            yield return new("drum-state-not-known", side, "The drum was not seen in full, so its state is not known.", [view.Id],
                "That the drum is intact, or that there is no hole.", Logic);
        }

        foreach (var code in new[] { "drum-attic-crust", "drum-keratin-or-white-mass" })
        {
            if ((Said(index, code, side, "after") ?? Said(index, code, side, "before")) is { Value: "yes" } mass)
            {
                yield return new("may-not-be-wax", side, "What lies at the drum may be keratin and not wax.", [mass.Id],
                    "That it is wax, or that it is a cholesteatoma: neither is a diagnosis.", "common practice, no source");
            }
        }

        if (Said(index, "outcome-result", side) is { Value: "thin-layer-left-on-drum" } thin)
        {
            yield return new("layer-left-on-purpose", side, "A thin layer was left on the drum; touching the drum hurts and may make a hole, so this may be a finished procedure.", [thin.Id],
                "That the procedure failed, or that a referral is needed for it.", "common practice, no source");
        }

        if (Said(index, "outcome-result", side) is { Value: "clear" or "thin-layer-left-on-drum" } cleared
            && Said(index, "hearing-before", side) is { Value: "reduced" or "none" } dull && Said(index, "hearing-after", side) is { Value: "normal" } heard)
        {
            yield return new("hearing-back-after-clearance", side, "Hearing came back when the ear was cleared, so what was removed probably explains the loss.", [cleared.Id, dull.Id, heard.Id],
                "That the other ear's loss is explained, or that a loss that remains would be.", Logic);
        }

        if (Said(index, "canal-blood", side, "before") is { Value: "yes" } blood && Said(index, "ear-history-cotton-buds", side) is { Value: "yes" } buds
            && Said(index, "head-injury-present", null) is { Value: "no" } uninjured)
        {
            yield return new("blood-after-cotton-buds", side, "The blood in the canal may come from what was put into the ear.", [blood.Id, buds.Id, uninjured.Id],
                "That it comes from the head, or that no other cause needs looking for.", "traumatic perforations by cotton buds: published case series, seen in summary");
        }

        if (Said(index, "movement-flinched", side) is { Value: "yes" } flinch && Said(index, "drum-visualised", side, "after") is null)
        {
            yield return new("flinched-without-a-look-afterwards", side, "The patient flinched and no view of the drum afterwards is recorded: an injury is neither seen nor excluded.", [flinch.Id],
                "That an injury occurred, or that none did.", "sudden movement can injure canal or drum: NHS patient leaflet");
        }
    }

    private static IEnumerable<ProvisionalStatement> OfPatient(RecordIndex index)
    {
        if (Said(index, "patient-complications-vertigo", null) is { Value: "transient" } spin)
        {
            yield return new("brief-spinning-of-suction", null, "Brief spinning during suction may be an effect of cooling.", [spin.Id],
                "That spinning which lasts, or comes with other signs, is harmless.", "published case series of 2025, seen in summary");
        }
    }

    /// <summary>The one answer to a question; null when there is none, or answers that differ.</summary>
    private static (string Value, string Id)? Said(RecordIndex index, string code, DecisionSide? side, string? moment = null)
    {
        var answers = index.Find(code, side).Where(observation => moment is null || RecordIndex.IsAt(observation, moment))
            .SelectMany(observation => (observation.Value as CodeableConcept)?.Coding.Select(coding => (Value: Word(coding), Id: observation.Id ?? "")) ?? [])
            .Where(answer => answer.Value is not null).ToList();
        return answers.DistinctBy(answer => answer.Value).Count() == 1 ? (answers[0].Value!, answers[0].Id) : null;
    }

    private static string? Word(Coding coding) => (coding.System, coding.Code) switch
    {
        (RuleVocabulary.Snomed, RuleVocabulary.Present) => "yes",
        (RuleVocabulary.Snomed, RuleVocabulary.Absent) => "no",
        ({ } system, var code) when system.StartsWith(RuleVocabulary.OwnCodeSystems, StringComparison.Ordinal) => code,
        _ => null,
    };
}
