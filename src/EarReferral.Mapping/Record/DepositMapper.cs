using System.Globalization;
using EarReferral.Encounters;
using EarReferral.Mapping.Codes;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Record;

/// <summary>What lay in the canal, and what was left there.</summary>
internal static class DepositMapper
{
    public static IEnumerable<Observation> Map(ClinicEncounter encounter, EarExamination ear, ObservationFrame frame)
    {
        var side = ResourceStamp.Key(ear.Side);
        var at = ear.Before.At ?? encounter.Period.Start;
        foreach (var deposit in ear.Deposits)
        {
            var observation = frame.New($"{side}/deposit/{deposit.Id}", LocalCodes.Deposit.Concept(), ear.Side, at);
            observation.Category.Add(LocalCodes.Before.Concept());
            observation.Value = CodeSystems.Concept(deposit.Material);
            observation.Component = [.. Components(deposit), .. BodySites.Components(deposit.At)];
            yield return observation;
        }

        if (ear.Deposits.Any(MayHaveBeenPushedIn) && ear.History is not { CottonBuds: Answer.No, HearingAid: Answer.No })
        {
            // Common practice, no source: wax forms only in the outer third, so wax further in was probably moved there.
            // By what is not known; the cause stays a question and is never recorded as something the patient did.
            var cause = frame.New($"{side}/possible-cause/pushed-in", LocalCodes.PossibleCause.Concept(), ear.Side, at);
            cause.Status = ObservationStatus.Preliminary;
            cause.Value = LocalCodes.PushedIn.Concept();
            cause.Note = [new Annotation { Text = "Inferred from the place of the wax; ask what may have moved it inward." }];
            yield return cause;
        }

        var end = ear.After?.At ?? encounter.Period.End ?? encounter.EvaluationInstant;
        foreach (var (left, index) in (ear.Outcome?.Left ?? []).Select((left, index) => (left, index + 1)))
        {
            var observation = frame.New(string.Create(CultureInfo.InvariantCulture, $"{side}/residual/{index}"), LocalCodes.Residual.Concept(), ear.Side, end);
            observation.Category.Add(LocalCodes.After.Concept());
            observation.Value = CodeSystems.Concept(left.Material);
            observation.Component =
            [
                new Observation.ComponentComponent { Code = LocalCodes.OnPurpose.Concept(), Value = new FhirBoolean(left.OnPurpose) },
                .. BodySites.Components(left.At),
            ];
            yield return observation;
        }
    }

    public static string Words(Residual left) =>
        $"Left in the ear{(left.OnPurpose ? " on purpose" : string.Empty)}: {CodeSystems.Words(left.Material)}, {BodySites.Words(left.At)}.";

    public static string Words(Deposit deposit) => string.Join(", ", new[]
    {
        CodeSystems.Words(deposit.Material),
        deposit.Firmness is { } firmness ? CodeSystems.Words(firmness) : null,
        deposit.Moisture is { } moisture ? CodeSystems.Words(moisture) : null,
        deposit.Stickiness is { } stickiness ? CodeSystems.Words(stickiness) : null,
        deposit.Adherence is { } adherence ? CodeSystems.Words(adherence) : null,
        deposit.Colour is { } colour ? CodeSystems.Words(colour) : null,
        deposit.Layers is { } layers ? string.Create(CultureInfo.InvariantCulture, $"layers: {layers}") : null,
        deposit.Occlusion is { } occlusion ? $"filling of the canal {CodeSystems.Words(occlusion)}" : null,
        deposit.DepthMm is { } depth ? $"outer end at {Units.Length(depth)}" : null,
        deposit.LengthMm is { } length ? $"length {Units.Length(length)}" : null,
        deposit.SkinWithIt switch
        {
            Sign.Present => "skin came out with it",
            Sign.Absent => "no skin came out with it",
            Sign.NotSeen => "skin with it: not seen",
            null => null,
        },
        BodySites.Words(deposit.At),
    }.OfType<string>());

    private static bool MayHaveBeenPushedIn(Deposit deposit) =>
        deposit.Material is DepositMaterial.Wax && deposit.At.Part is EarPart.OnDrum or EarPart.CanalBonyPart or EarPart.AnteriorRecess;

    private static IEnumerable<Observation.ComponentComponent> Components(Deposit deposit) => new[]
    {
        Part(LocalCodes.Firmness, deposit.Firmness is { } firmness ? CodeSystems.Concept(firmness) : null),
        Part(LocalCodes.Moisture, deposit.Moisture is { } moisture ? CodeSystems.Concept(moisture) : null),
        Part(LocalCodes.Stickiness, deposit.Stickiness is { } stickiness ? CodeSystems.Concept(stickiness) : null),
        Part(LocalCodes.Adherence, deposit.Adherence is { } adherence ? CodeSystems.Concept(adherence) : null),
        Part(LocalCodes.Colour, deposit.Colour is { } colour ? CodeSystems.Concept(colour) : null),
        Part(LocalCodes.Layers, deposit.Layers is { } layers ? Units.Quantity(layers, Units.Unity) : null),
        Part(LocalCodes.Occlusion, deposit.Occlusion is { } occlusion ? Filling(occlusion) : null),
        Part(LocalCodes.Depth, deposit.DepthMm is { } depth ? Units.Quantity(depth, Units.Millimetre) : null),
        Part(LocalCodes.Length, deposit.LengthMm is { } length ? Units.Quantity(length, Units.Millimetre) : null),
        Skin(deposit.SkinWithIt),
    }.OfType<Observation.ComponentComponent>();

    private static CodeableConcept Filling(Occlusion occlusion) =>
        ListTerms.Of(occlusion)?.With(CodeSystems.Coding(occlusion), CodeSystems.Words(occlusion)) ?? CodeSystems.Concept(occlusion);

    private static Observation.ComponentComponent? Skin(Sign? sign) => sign is { } seen ? seen switch
    {
        Sign.Present => Part(LocalCodes.SkinWithIt, Snomed.Present.Concept()),
        Sign.Absent => Part(LocalCodes.SkinWithIt, Snomed.Absent.Concept()),
        Sign.NotSeen => new Observation.ComponentComponent { Code = LocalCodes.SkinWithIt.Concept(), DataAbsentReason = Hl7Codes.NotPerformed.Concept() },
    } : null;

    internal static Observation.ComponentComponent? Part(Term code, DataType? value) =>
        value is null ? null : new Observation.ComponentComponent { Code = code.Concept(), Value = value };
}
