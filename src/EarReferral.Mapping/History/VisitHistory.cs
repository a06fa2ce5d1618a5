using System.Globalization;
using EarReferral.Encounters;
using EarReferral.Mapping.Codes;
using EarReferral.Mapping.Identity;
using EarReferral.Mapping.Record;
using EarReferral.Triage.Decisions;
using EarReferral.Triage.History;

namespace EarReferral.Mapping.History;

/// <summary>
/// Derives from earlier visits what this visit leaves open or contradicts, ear by ear. What an earlier visit did not ask or see says nothing,
/// and no fact is ever derived that denies a finding.
/// </summary>
public static class VisitHistory
{
    /// <summary>Longest time between two visits of one course of irrigation (our own proposal, no source).</summary>
    public const int CourseDays = 90;

    /// <summary>Fewest frequencies that an earlier audiogram must share with this one; with less it could hide what the other ear shows.</summary>
    private const int ComparableFrequencies = 3;

    /// <summary>The facts for every ear of the visit.</summary>
    /// <param name="now">The visit that is decided.</param>
    /// <param name="identity">Identities kept for it.</param>
    /// <param name="earlier">Other visits of the patient; those at or after the decision instant are passed over.</param>
    public static IReadOnlyList<HistoryFact> Of(ClinicEncounter now, EncounterIdentity identity, IEnumerable<EarlierVisit> earlier)
    {
        var visits = earlier.Where(visit => visit.Encounter.EvaluationInstant < now.EvaluationInstant).OrderBy(visit => visit.Encounter.EvaluationInstant).ToList();
        return visits.Count == 0 ? [] : [.. now.Ears.OrderBy(ear => ear.Side).SelectMany(ear => OfEar(now, ear, identity, visits))];
    }

    private static IEnumerable<HistoryFact> OfEar(ClinicEncounter now, EarExamination ear, EncounterIdentity identity, List<EarlierVisit> visits)
    {
        List<PastEar> past = [.. visits.SelectMany(visit => visit.Encounter.Ears.Where(each => each.Side == ear.Side).Select(each => new PastEar(visit, each, Day(visit.Encounter.EvaluationInstant, now))))];
        if (DischargeRecurs(ear, past) is { } recurs && ear.Discharge!.Recurs is not Answer.Yes)
        {
            yield return Fact(LocalCodes.DerivedDischargeRecurs, ear, identity, new HistoryValue { Answer = true }, recurs) with
            {
                Contradiction = ear.Discharge.Recurs is Answer.No ? new HistoryContradiction("discharge-recurs", "no") : null,
            };
        }

        if (PerforationFirstSeen(ear, past) is { } first)
        {
            yield return Fact(LocalCodes.DerivedPerforationFirstSeen, ear, identity, new HistoryValue { Date = first.Day }, [(first, first.PerforationRole())]) with
            {
                Contradiction = ear.History?.PerforationKnown is Answer.No ? new HistoryContradiction("ear-history-perforation-known", "no") : null,
            };
        }

        if (FailedIrrigations(ear, past, Day(now.EvaluationInstant, now)) is var (attempts, course) && !(ear.Outcome!.IrrigationAttempts >= attempts))
        {
            yield return Fact(LocalCodes.DerivedIrrigationAttempts, ear, identity, new HistoryValue { Count = attempts }, [.. course.Select(each => (each, "outcome-result"))]) with
            {
                Contradiction = ear.Outcome.IrrigationAttempts is { } said
                    ? new HistoryContradiction("outcome-irrigation-attempts", said.ToString(CultureInfo.InvariantCulture))
                    : null,
            };
        }

        foreach (var fact in EarlierAudiogram(ear, past, identity))
        {
            yield return fact;
        }
    }

    /// <summary>
    /// Two episodes of discharge, the second one now: the ear was dry at a visit in between, or the discharge of today began after the visit
    /// that recorded the former one, or that visit itself recorded that it comes back.
    /// </summary>
    private static List<(PastEar Of, string Role)>? DischargeRecurs(EarExamination ear, List<PastEar> past)
    {
        if (ear.Discharge is not { Present: Answer.Yes } discharge)
        {
            return null;
        }

        for (var at = past.Count - 1; at >= 0; at--)
        {
            if (past[at].Ear.Discharge is not { Present: Answer.Yes } former)
            {
                continue;
            }

            if (past.Skip(at + 1).FirstOrDefault(later => later.Ear.Discharge?.Present is Answer.No) is { } dry)
            {
                return [(past[at], "discharge-present"), (dry, "discharge-present")];
            }

            if (discharge.StartDate is { } start && start.Earliest > past[at].Day)
            {
                return [(past[at], "discharge-present")];
            }

            if (former.Recurs is Answer.Yes)
            {
                return [(past[at], "discharge-recurs")];
            }
        }

        return null;
    }

    /// <summary>The first visit of an unbroken row of looks that showed a hole; none where that visit knew the hole as an old one.</summary>
    private static PastEar? PerforationFirstSeen(EarExamination ear, List<PastEar> past)
    {
        if (PastEar.Perforation(ear) is not Sign.Present)
        {
            return null;
        }

        PastEar? first = null;
        foreach (var each in Enumerable.Reverse(past))
        {
            switch (PastEar.Perforation(each.Ear))
            {
                case Sign.Present:
                    first = each;
                    break;
                case Sign.Absent:
                    return New(first);
                case Sign.NotSeen:
                    break;
            }
        }

        return New(first);

        static PastEar? New(PastEar? first) =>
            first?.Ear.History?.PerforationKnown is Answer.Yes && first.Ear.Complications?.NewPerforation is not Sign.Present ? null : first;
    }

    /// <summary>Irrigations of the course so far, this visit included; null without an earlier one, or when the ear is clear now.</summary>
    private static (int Attempts, List<PastEar> Course)? FailedIrrigations(EarExamination ear, List<PastEar> past, DateOnly today)
    {
        if (ear.Outcome is not { Result: not (OutcomeResult.Clear or OutcomeResult.ThinLayerLeftOnDrum) })
        {
            return null;
        }

        var (attempts, course, last) = (0, new List<PastEar>(), DateOnly.MinValue);
        foreach (var each in past)
        {
            if (each.Ear.Outcome is not { } outcome)
            {
                continue;
            }

            if (outcome.Result is OutcomeResult.Clear or OutcomeResult.ThinLayerLeftOnDrum || (course.Count > 0 && each.Day.DayNumber - last.DayNumber > CourseDays))
            {
                (attempts, course) = (0, []);
            }

            var irrigated = PastEar.Irrigations(each.Ear);
            if (outcome.Result is OutcomeResult.Incomplete or OutcomeResult.Abandoned && (irrigated > 0 || outcome.IrrigationAttempts > 0))
            {
                attempts = outcome.IrrigationAttempts ?? attempts + irrigated;
                course.Add(each);
                last = each.Day;
            }
        }

        return course.Count == 0 || today.DayNumber - last.DayNumber > CourseDays ? null : (attempts + PastEar.Irrigations(ear), course);
    }

    /// <summary>The newest audiogram of an earlier visit that was measured before this one, and before the loss began where that is known.</summary>
    private static IEnumerable<HistoryFact> EarlierAudiogram(EarExamination ear, List<PastEar> past, EncounterIdentity identity)
    {
        if (ear.Audiogram is not { EarlierThresholds.Count: 0 } audiogram)
        {
            return [];
        }

        var before = audiogram.MeasuredOn.Earliest;
        if (ear.Hearing?.OnsetDate is { } onset && onset.Earliest < before)
        {
            before = onset.Earliest;
        }

        var measured = Air(audiogram).Select(threshold => threshold.FrequencyHz).ToHashSet();
        var reference = past.Where(each => each.Ear.Audiogram is { } old && old.MeasuredOn.Latest < before)
            .OrderByDescending(each => each.Ear.Audiogram!.MeasuredOn.Latest)
            .FirstOrDefault(each => Air(each.Ear.Audiogram!).Count(threshold => measured.Contains(threshold.FrequencyHz)) >= ComparableFrequencies);
        return reference is null
            ? []
            : Air(reference.Ear.Audiogram!).Where(threshold => measured.Contains(threshold.FrequencyHz)).Select(threshold => Fact(
                LocalCodes.DerivedThreshold,
                ear,
                identity,
                new HistoryValue { Threshold = new HistoryThreshold(threshold.FrequencyHz, threshold.DecibelsHearingLevel!.Value, reference.Ear.Audiogram!.MeasuredOn.ToString()) },
                [(reference, string.Create(CultureInfo.InvariantCulture, $"threshold/current/air/{threshold.FrequencyHz}"))]));
    }

    private static IEnumerable<Threshold> Air(Audiogram audiogram) =>
        audiogram.Thresholds.Where(threshold => threshold is { Conduction: Conduction.Air, NoResponse: false, DecibelsHearingLevel: not null });

    private static HistoryFact Fact(Term code, EarExamination ear, EncounterIdentity identity, HistoryValue value, IReadOnlyList<(PastEar Of, string Role)> from) => new(
        code.Code,
        ear.Side switch { EarSide.Right => DecisionSide.Right, EarSide.Left => DecisionSide.Left },
        value,
        identity.Resource(HistoryMapper.Role(code.Code, ear.Side, value)),
        [.. from.Select(source => new HistorySource(
            source.Of.Visit.Encounter.EncounterId,
            source.Of.Visit.Encounter.Revision,
            source.Of.Visit.Encounter.EvaluationInstant,
            EncounterIdentity.NameBased(source.Of.Visit.Seed, $"observation/{ResourceStamp.Key(ear.Side)}/{source.Role}").ToString()))]);

    private static DateOnly Day(DateTimeOffset instant, ClinicEncounter now) =>
        DateOnly.FromDateTime(TimeZoneInfo.ConvertTime(instant, TimeZoneInfo.FindSystemTimeZoneById(now.ClinicTimeZone)).DateTime);
}
