using System.Globalization;
using EarReferral.Triage.Rules;
using Hl7.Fhir.Model;

namespace EarReferral.Triage.Evaluation;

/// <summary>The value of one variable; without a value it is unknown.</summary>
/// <param name="Variable">The declaration.</param>
/// <param name="Value">Boolean, string or number; null when unknown.</param>
/// <param name="ObservationId">Where it was read.</param>
/// <param name="Latest">For an elapsed time that is a range: the value at its other end.</param>
internal sealed record Fact(Variable Variable, PrimitiveType? Value, string? ObservationId = null, PrimitiveType? Latest = null)
{
    /// <summary>The value as FHIRPath writes it.</summary>
    public string? Text => Value switch
    {
        null => null,
        FhirBoolean boolean => boolean.Value is true ? "true" : "false",
        FhirString text => $"'{text.Value}'",
        Integer number => number.Value?.ToString(CultureInfo.InvariantCulture),
        FhirDecimal number => number.Value?.ToString(CultureInfo.InvariantCulture),
        var other => other.ToString(),
    };
}
