using EarReferral.Encounters.Vocabulary;

namespace EarReferral.Encounters.Reading;

/// <summary>What the caller allows beyond the contract's default.</summary>
public sealed record EncounterReaderOptions
{
    /// <summary>The strict default, as a gateway with real patients uses it.</summary>
    public static EncounterReaderOptions Default { get; } = new();

    /// <summary>Accept NHS numbers beginning with 999, which are kept for tests; only for demonstrations and tests.</summary>
    public bool AllowTestNhsNumbers { get; init; }

    /// <summary>The code lists of clinics that may be named by <c>vocabulary</c>.</summary>
    public IReadOnlyList<ClinicVocabulary> Vocabularies { get; init; } = [];
}
