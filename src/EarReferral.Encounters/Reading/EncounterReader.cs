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

        using var json = JsonDocument.Parse(translated, new JsonDocumentOptions { MaxDepth = JsonScan.DeepestLevel });
        if (SchemaCheck.Check(json.RootElement) is { Count: > 0 } misshapen)
        {
            return EncounterReading.Refused(translated, misshapen);
        }

        var encounter = ModelReading.Read(json.RootElement);
        if (encounter.Vocabulary is { } use)
        {
            encounter = encounter with { Vocabulary = use with { Codes = codes } };
        }

        // What the screen denies must not contradict what is described either, so the rules look at both.
        var told = MinimumScreen.Apply(encounter);
        IReadOnlyList<EncounterProblem> contradictions = [.. EncounterRules.Check(encounter, options).Concat(ReferenceEquals(told, encounter) ? [] : EncounterRules.Check(told, options)).Distinct()];
        return contradictions.Count > 0
            ? EncounterReading.Refused(translated, contradictions)
            : new EncounterReading(told, []) { Document = translated };
    }
}
