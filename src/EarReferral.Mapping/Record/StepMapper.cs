using System.Globalization;
using EarReferral.Encounters;
using EarReferral.Mapping.Codes;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Record;

/// <summary>Steps of a procedure: an Observation that is part of the Procedure for machines, and a note line on the Procedure for people.</summary>
internal static class StepMapper
{
    public static IEnumerable<Observation> Map(ClinicEncounter encounter, EarExamination ear, Procedure? procedure, ObservationFrame frame)
    {
        var at = ear.Before.At ?? encounter.Period.Start;
        foreach (var (step, order) in ear.Steps.Select((step, index) => (step, index + 1)))
        {
            var observation = frame.New(string.Create(CultureInfo.InvariantCulture, $"{ResourceStamp.Key(ear.Side)}/step/{order}"), LocalCodes.Step.Concept(), ear.Side, at);
            observation.PartOf = procedure is null ? [] : [ResourceStamp.To(procedure)];
            observation.Value = new FhirString(Words(step, ear.Deposits));
            observation.Component = [.. Components(step, order), .. step.At is { } place ? BodySites.Components(place) : []];
            yield return observation;
        }
    }

    public static string InstrumentWords(ProcedureStep step)
    {
        var name = step.Instrument switch
        {
            Instrument.Suction => step.SuctionEnd switch
            {
                SuctionEnd.Fine => "Fine suction end",
                SuctionEnd.Standard => "Standard suction end",
                null => "Suction",
            },
            Instrument.Forceps => "Forceps",
            Instrument.Hook => "Hook",
            Instrument.Loop => "Loop",
            Instrument.ElectronicIrrigation => "Electronic irrigation",
            Instrument.ManualSyringe => "Manual syringe",
            Instrument.SoftenerOnly => "Softener only",
        };
        return step.SuctionOuterDiameterMm is { } diameter ? $"{name}, outer diameter {Units.Length(diameter)}" : name;
    }

    public static string Words(ProcedureStep step, IReadOnlyList<Deposit> deposits) => string.Join("; ", new[]
    {
        InstrumentWords(step),
        step.SuctionPressure is { } pressure ? $"pressure {Units.Pressure(pressure)}" : null,
        step.WaterTemperatureCelsius is { } water ? FormattableString.Invariant($"water {water:0.#} °C") : null,
        step.View is { } view ? $"seen through {CodeSystems.Words(view)}" : null,
        step.LiquidIntroduced is { } liquid ? $"liquid: {liquid}" : null,
        step.At is { } place ? BodySites.Words(place) : null,
        On(step, deposits),
        step.ChangeReason is { } reason ? $"changed because: {CodeSystems.Words(reason)}" : null,
        step.Attempts is { } attempts ? string.Create(CultureInfo.InvariantCulture, $"attempts: {attempts}") : null,
        step.Result is { } result ? $"result: {CodeSystems.Words(result)}" : null,
    }.OfType<string>());

    /// <summary>What the step worked on; the clinic's ids of deposits mean nothing to a reader.</summary>
    private static string? On(ProcedureStep step, IReadOnlyList<Deposit> deposits)
    {
        var materials = deposits.Where(deposit => step.Deposits.Contains(deposit.Id)).Select(deposit => CodeSystems.Words(deposit.Material)).Distinct(StringComparer.Ordinal).ToList();
        return materials.Count == 0 ? null : "on " + string.Join(", ", materials);
    }

    private static IEnumerable<Observation.ComponentComponent> Components(ProcedureStep step, int order) => new[]
    {
        DepositMapper.Part(LocalCodes.Order, Units.Quantity(order, Units.Unity)),
        DepositMapper.Part(LocalCodes.Instrument, CodeSystems.Concept(step.Instrument)),
        DepositMapper.Part(LocalCodes.SuctionDiameter, step.SuctionOuterDiameterMm is { } diameter ? Units.Quantity(diameter, Units.Millimetre) : null),
        DepositMapper.Part(LocalCodes.SuctionEnd, step.SuctionEnd is { } end ? CodeSystems.Concept(end) : null),
        DepositMapper.Part(LocalCodes.SuctionPressure, step.SuctionPressure is { } pressure ? Units.Quantity(pressure.Value, Units.Ucum(pressure.Unit)) : null),
        DepositMapper.Part(LocalCodes.WaterTemperature, step.WaterTemperatureCelsius is { } water ? Units.Quantity(water, Units.Celsius) : null),
        DepositMapper.Part(LocalCodes.View, step.View is { } view ? CodeSystems.Concept(view) : null),
        DepositMapper.Part(LocalCodes.Liquid, step.LiquidIntroduced is { } liquid ? new FhirString(liquid) : null),
        DepositMapper.Part(LocalCodes.ChangeReason, step.ChangeReason is { } reason ? CodeSystems.Concept(reason) : null),
        DepositMapper.Part(LocalCodes.Attempts, step.Attempts is { } attempts ? Units.Quantity(attempts, Units.Unity) : null),
        DepositMapper.Part(LocalCodes.Result, step.Result is { } result ? CodeSystems.Concept(result) : null),
    }.OfType<Observation.ComponentComponent>().Concat(step.Deposits.Select(id =>
        new Observation.ComponentComponent { Code = LocalCodes.WorkedOn.Concept(), Value = new FhirString(id) }));
}
