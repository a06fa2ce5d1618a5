using EarReferral.Encounters;
using EarReferral.Mapping.Codes;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Record;

/// <summary>The side of the body in its three agreeing forms: lateralised structure, words, and a code to compute with.</summary>
internal static class BodySites
{
    public static CodeableConcept Of(EarSide side)
    {
        var site = side switch
        {
            EarSide.Right => Snomed.RightEar.Concept("Right ear"),
            EarSide.Left => Snomed.LeftEar.Concept("Left ear"),
        };
        var laterality = side switch { EarSide.Right => Snomed.Right, EarSide.Left => Snomed.Left };
        site.Extension = [new Extension(Canonicals.Laterality, laterality.Concept())];
        return site;
    }

    public static string Words(EarSide side) => side switch { EarSide.Right => "Right ear", EarSide.Left => "Left ear" };

    /// <summary>A place as components. The exact place has a local code because no published one was seen; the structure around it is published.</summary>
    public static IEnumerable<Observation.ComponentComponent> Components(EarLocation at)
    {
        var structure = at.Part switch
        {
            EarPart.CanalOuterThird or EarPart.CanalBonyPart or EarPart.AnteriorRecess => Snomed.EarCanal,
            EarPart.OnDrum => Snomed.Eardrum,
        };
        yield return new Observation.ComponentComponent
        {
            Code = LocalCodes.LocationPart.Concept(),
            Value = structure.With(CodeSystems.Coding(at.Part), CodeSystems.Words(at.Part)),
        };
        if (at.Wall is { } wall)
        {
            yield return new Observation.ComponentComponent { Code = LocalCodes.LocationWall.Concept(), Value = Wall(wall) };
        }

        if (at.Quadrant is { } quadrant)
        {
            yield return new Observation.ComponentComponent { Code = LocalCodes.LocationQuadrant.Concept(), Value = CodeSystems.Concept(quadrant) };
        }
    }

    public static string Words(EarLocation at) => string.Join(", ", new[]
    {
        CodeSystems.Words(at.Part),
        at.Wall is { } wall ? wall is CanalWall.AllRound ? "all round" : $"{CodeSystems.Words(wall)} wall" : null,
        at.Quadrant is { } quadrant ? CodeSystems.Words(quadrant) : null,
    }.OfType<string>());

    private static CodeableConcept Wall(CanalWall wall) =>
        ListTerms.Of(wall)?.With(CodeSystems.Coding(wall), CodeSystems.Words(wall)) ?? CodeSystems.Concept(wall);
}
