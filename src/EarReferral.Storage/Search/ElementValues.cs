using Hl7.Fhir.Model;
using Hl7.Fhir.Utility;

namespace EarReferral.Storage.Search;

/// <summary>Index values of the FHIR data types, as FHIR R4 search lists them for each kind of parameter.</summary>
internal static class ElementValues
{
    public static IEnumerable<IndexValue> Token(Identifier? identifier)
    {
        if (identifier?.Value is { Length: > 0 } value)
        {
            yield return new IndexValue.Token(identifier.System, value);
        }
    }

    public static IEnumerable<IndexValue> Tokens(IEnumerable<Identifier> identifiers) => identifiers.SelectMany(Token);

    public static IEnumerable<IndexValue> Token(Coding? coding)
    {
        if (coding?.Code is { Length: > 0 } code)
        {
            yield return new IndexValue.Token(coding.System, code);
        }
    }

    public static IEnumerable<IndexValue> Token(CodeableConcept? concept) => (concept?.Coding ?? []).SelectMany(Token);

    public static IEnumerable<IndexValue> Tokens(IEnumerable<CodeableConcept> concepts) => concepts.SelectMany(Token);

    /// <summary>A code element: its system is the one that its required binding names.</summary>
    public static IEnumerable<IndexValue> Token<T>(T? code)
        where T : struct, Enum
    {
        if (code is { } value)
        {
            yield return new IndexValue.Token(value.GetSystem(), value.GetLiteral());
        }
    }

    /// <summary>A code without system, such as a media type.</summary>
    public static IEnumerable<IndexValue> Code(string? code)
    {
        if (code is { Length: > 0 })
        {
            yield return new IndexValue.Token(null, code);
        }
    }

    /// <summary>A canonical or other address, matched as a whole; it has the form of a reference out of this store.</summary>
    public static IEnumerable<IndexValue> Uri(string? address)
    {
        if (address is { Length: > 0 })
        {
            yield return new IndexValue.Reference(string.Empty, address);
        }
    }

    /// <summary>Those that lead to a resource of the type.</summary>
    public static IEnumerable<IndexValue> Only(string type, IEnumerable<IndexValue> references) =>
        references.OfType<IndexValue.Reference>().Where(reference => reference.TargetType == type);

    public static IEnumerable<IndexValue> Reference(ResourceReference? reference)
    {
        if (reference?.Reference is not { Length: > 0 } text || text[0] == '#')
        {
            return [];
        }

        var parts = text.Split('/');
        return parts is [_, _] or [_, _, "_history", _]
            ? [new IndexValue.Reference(parts[0], parts[1])]
            : [new IndexValue.Reference(string.Empty, text)];
    }

    public static IEnumerable<IndexValue> References(IEnumerable<ResourceReference> references) => references.SelectMany(Reference);

    /// <summary>Date, dateTime, instant or Period; other types never match a date parameter.</summary>
    public static IEnumerable<IndexValue> Date(DataType? value)
    {
        var range = value switch
        {
            FhirDateTime dateTime => DateRange.Parse(dateTime.Value),
            Date date => DateRange.Parse(date.Value),
            Instant { Value: { } time } => DateRange.Parse(time.ToUniversalTime().ToString("yyyy-MM-dd'T'HH:mm:ss.fff'Z'", null)),
            Period period => DateRange.Between(period.Start, period.End),
            _ => null,
        };
        return range is { } found ? [new IndexValue.Date(found)] : [];
    }

    public static IEnumerable<IndexValue> Text(string? text) =>
        string.IsNullOrWhiteSpace(text) ? [] : [new IndexValue.Text(text.Trim().ToLowerInvariant())];
}
