using System.Text;
using EarReferral.Validation;
using Hl7.Fhir.Model;
using Hl7.Fhir.Serialization;

namespace EarReferral.Gateway.Tests.Quarantine;

/// <summary>Our own profiles with one defect, as a release of ours could have it: an invariant that no record meets.</summary>
internal static class BrokenProfile
{
    public const string Rule = "ear-broken-1";

    public static ProfileSet Load()
    {
        var definitions = ProfileSet.Embedded().Definitions;
        var procedure = definitions.OfType<StructureDefinition>().Single(definition => definition.Id == "ear-procedure");
        procedure.Snapshot!.Element[0].Constraint.Add(new ElementDefinition.ConstraintComponent
        {
            Key = Rule,
            Severity = ConstraintSeverity.Error,
            Human = "Every procedure has seventy-seven codes.",
            Expression = "code.coding.count() = 77",
        });
        var lines = string.Join('\n', definitions.Select(definition => new FhirJsonSerializer().SerializeToString(definition)));
        return ProfileSet.Load([("broken.ndjson", Encoding.UTF8.GetBytes(lines))]);
    }
}
