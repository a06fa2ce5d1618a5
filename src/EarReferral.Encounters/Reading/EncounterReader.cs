using System.Text.Json;
using EarReferral.Encounters.Rules;
using EarReferral.Encounters.Screening;
using EarReferral.Encounters.Vocabulary;

namespace EarReferral.Encounters.Reading;

/// <summary>Reads a posted document strictly: an encounter comes out only when nothing at all is wrong with it.</summary>
/// <remarks>
/// Four gates, each reporting everything it finds: the JSON itself, the clinic's own codes where it uses them, the form that the
/// schema asks for, the rules between members. A later gate is not asked about a document that an earlier one refused. Nothing is
/// repaired, rounded or guessed.
/// </remarks>
public static class EncounterReader
{
    /// <summary>Reads a document under the strict default.</summary>
    /// <param name="document">The posted bytes, UTF-8, at most 1 MiB.</param>
    public static EncounterReading Read(ReadOnlyMemory<byte> document) => Read(document, EncounterReaderOptions.Default);

    /// <summary>Reads a document.</summary>
    /// <param name="document">The posted bytes, UTF-8, at most 1 MiB.</param>
    /// <param name="options">What the caller allows.</param>
    public static EncounterReading Read(ReadOnlyMemory<byte> document, EncounterReaderOptions options)
    {
        if (JsonScan.Check(document.Span, out _) is { Count: > 0 } broken)
        {
            return EncounterReading.Refused(document, broken);
        }

        var (translated, codes, untranslated) = VocabularyTranslation.Translate(document, options.Vocabularies);
        if (untranslated.Count > 0)
        {
            return EncounterReading.Refused(translated, untranslated);
        }

        using var json = Parse(translated);
        if (SchemaCheck.Check(json.RootElement) is { Count: > 0 } misshapen)
        {
            return EncounterReading.Refused(translated, misshapen);
        }

        var encounter = Model(json, codes);

        // What the screen denies must not contradict what is described either, so the rules look at both.
        var told = MinimumScreen.Apply(encounter);
        IReadOnlyList<EncounterProblem> contradictions = [.. EncounterRules.Check(encounter, options).Concat(ReferenceEquals(told, encounter) ? [] : EncounterRules.Check(told, options)).Distinct()];
        return contradictions.Count > 0
            ? EncounterReading.Refused(translated, contradictions)
            : new EncounterReading(told, []) { Document = translated };
    }

    /// <summary>
    /// Reads a document that was accepted before, past the form and the rules that it passed then: five times as fast, for those who read
    /// thousands. Null when the clinic's code list that it names is no longer there.
    /// </summary>
    /// <param name="document">The bytes as they were posted.</param>
    /// <param name="vocabularies">The code lists of clinics that it may name.</param>
    /// <exception cref="InvalidDataException">It does not have the form of the contract of today.</exception>
    public static ClinicEncounter? ReadAccepted(ReadOnlyMemory<byte> document, IReadOnlyList<ClinicVocabulary> vocabularies)
    {
        var (translated, codes, untranslated) = VocabularyTranslation.Translate(document, vocabularies);
        if (untranslated.Count > 0)
        {
            return null;
        }

        using var json = Parse(translated);
        return MinimumScreen.Apply(Model(json, codes));
    }

    private static JsonDocument Parse(ReadOnlyMemory<byte> document) => JsonDocument.Parse(document, new JsonDocumentOptions { MaxDepth = JsonScan.DeepestLevel });

    private static ClinicEncounter Model(JsonDocument json, IReadOnlyList<LocalCode> codes)
    {
        var encounter = ModelReading.Read(json.RootElement);
        return encounter.Vocabulary is { } use ? encounter with { Vocabulary = use with { Codes = codes } } : encounter;
    }
}
