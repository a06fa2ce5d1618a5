using EarReferral.Encounters.Reading;

namespace EarReferral.Encounters.Rules;

/// <summary>What the patient tells of lies between birth and decision; a date known only to month or year counts by the days it can mean.</summary>
internal static class HistoryDateRule
{
    public static IEnumerable<EncounterProblem> Check(RuleSubject subject)
    {
        foreach (var (date, pointer) in Dates(subject))
        {
            if (date is not { } told)
            {
                continue;
            }

            if (told.Earliest > subject.EvaluationDate)
            {
                yield return RuleProblems.HistoryInFuture.At(pointer);
            }

            if (told.Latest < subject.Encounter.Patient.BirthDate)
            {
                yield return RuleProblems.HistoryBeforeBirth.At(pointer);
            }
        }

        foreach (var (instant, pointer) in Instants(subject))
        {
            if (instant > subject.Encounter.EvaluationInstant)
            {
                yield return RuleProblems.HistoryInFuture.At(pointer);
            }
        }
    }

    private static IEnumerable<(PartialDate? Date, string Pointer)> Dates(RuleSubject subject)
    {
        var encounter = subject.Encounter;
        yield return (encounter.Vertigo?.OnsetDate, "/vertigo/onsetDate");
        yield return (encounter.Neurology?.FacialWeaknessOnsetDate, "/neurology/facialWeaknessOnsetDate");
        yield return (encounter.HeadAndNeck?.HoarsenessStart, "/headAndNeck/hoarsenessStart");
        yield return (encounter.HeadAndNeck?.MouthUlcerStart, "/headAndNeck/mouthUlcerStart");
        yield return (encounter.HeadInjury?.Date, "/headInjury/date");
        foreach (var (ear, pointer) in subject.Ears)
        {
            yield return (ear.Hearing?.OnsetDate, $"{pointer}/hearing/onsetDate");
            yield return (ear.Audiogram?.MeasuredOn, $"{pointer}/audiogram/measuredOn");
            yield return (ear.Tinnitus?.OnsetDate, $"{pointer}/tinnitus/onsetDate");
            yield return (ear.Pain?.StartDate, $"{pointer}/pain/startDate");
            yield return (ear.Discharge?.StartDate, $"{pointer}/discharge/startDate");
            yield return (ear.Discharge?.TreatmentStartDate, $"{pointer}/discharge/treatmentStartDate");
            yield return (ear.Discharge?.LastMucoidDate, $"{pointer}/discharge/lastMucoidDate");
            yield return (ear.History?.GrommetOutDate, $"{pointer}/history/grommetOutDate");
            yield return (ear.History?.MiddleEarInfectionEnd, $"{pointer}/history/middleEarInfectionEnd");
            yield return (ear.Trauma?.Date, $"{pointer}/trauma/date");
            yield return (ear.Complications?.TinnitusSince, $"{pointer}/complications/tinnitusSince");
        }
    }

    private static IEnumerable<(DateTimeOffset? Instant, string Pointer)> Instants(RuleSubject subject)
    {
        yield return (subject.Encounter.Neurology?.FacialWeaknessOnset, "/neurology/facialWeaknessOnset");
        foreach (var (ear, pointer) in subject.Ears)
        {
            yield return (ear.Discharge?.TreatmentStart, $"{pointer}/discharge/treatmentStart");
        }
    }
}
