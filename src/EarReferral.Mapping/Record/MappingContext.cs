namespace EarReferral.Mapping.Record;

/// <summary>What the gateway's configuration adds to an encounter.</summary>
/// <param name="Language">BCP 47 tag of the language that generated text is written in.</param>
public sealed record MappingContext(string Language)
{
    /// <summary>British English, the only language that the texts exist in.</summary>
    public static MappingContext BritishEnglish { get; } = new("en-GB");
}
