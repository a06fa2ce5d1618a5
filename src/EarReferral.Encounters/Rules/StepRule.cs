using EarReferral.Encounters.Reading;

namespace EarReferral.Encounters.Rules;

/// <summary>Settings belong to the instrument that has them, and suction cannot exceed the atmosphere.</summary>
internal static class StepRule
{
    // One standard atmosphere is 760 mmHg or 101.325 kPa; a vacuum cannot be deeper.
    private const decimal MostMmHg = 760m;
    private const decimal MostKPa = 101.3m;

    public static IEnumerable<EncounterProblem> Check(RuleSubject subject) =>
        subject.Ears.SelectMany(at => at.Ear.Steps.SelectMany((step, index) => Step(step, $"{at.Pointer}/steps/{index}")));

    private static IEnumerable<EncounterProblem> Step(ProcedureStep step, string pointer)
    {
        if (step.Instrument != Instrument.Suction)
        {
            if (step.SuctionOuterDiameterMm is not null)
            {
                yield return RuleProblems.SuctionOnOther.At($"{pointer}/suctionOuterDiameterMm");
            }

            if (step.SuctionEnd is not null)
            {
                yield return RuleProblems.SuctionOnOther.At($"{pointer}/suctionEnd");
            }

            if (step.SuctionPressure is not null)
            {
                yield return RuleProblems.SuctionOnOther.At($"{pointer}/suctionPressure");
            }
        }

        if (step.SuctionPressure is { } pressure && pressure.Value > Most(pressure.Unit))
        {
            yield return RuleProblems.SuctionPressure.At($"{pointer}/suctionPressure/value");
        }

        if (step.WaterTemperatureCelsius is not null && step.Instrument is not (Instrument.ElectronicIrrigation or Instrument.ManualSyringe))
        {
            yield return RuleProblems.WaterOnOther.At($"{pointer}/waterTemperatureCelsius");
        }
    }

    private static decimal Most(PressureUnit unit) => unit switch
    {
        PressureUnit.MmHg => MostMmHg,
        PressureUnit.KPa => MostKPa,
    };
}
