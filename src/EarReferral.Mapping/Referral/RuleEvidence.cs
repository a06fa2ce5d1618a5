using System.Text.RegularExpressions;
using EarReferral.Mapping.Narrative;
using EarReferral.Mapping.Record;
using EarReferral.Triage.Decisions;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Referral;

/// <summary>What a rule that fired rests on, as resources and in words.</summary>
internal static partial class RuleEvidence
{
    /// <summary>The inputs that were found; what was denied or is unknown is no evidence, although the rule looked at it.</summary>
    public static IReadOnlyList<Observation> Of(FiredRule rule, EncounterRecord record)
    {
        var ids = rule.Inputs.Select(input => input.ObservationId).OfType<string>().ToHashSet(StringComparer.Ordinal);
        return [.. record.Observations.Concat(record.History).Where(observation => ids.Contains(observation.Id!) && ObservationMeaning.IsFound(observation))];
    }

    /// <summary>The rule's sentence with its side and what was found.</summary>
    public static string Sentence(FiredRule rule, EncounterRecord record)
    {
        var sentence = rule.Side is { } side ? $"{BodySites.Words(ReferralMapper.Side(side))}: {rule.Reason}" : rule.Reason;
        var found = Of(rule, record).Select(Words.Found).Distinct(StringComparer.Ordinal).ToList();
        return found.Count == 0 ? sentence : $"{sentence} Found: {string.Join("; ", found)}.";
    }

    /// <summary>The published source; how sure the rule book is of a citation is for its editors and stays out of letters.</summary>
    public static string Source(FiredRule rule) => EditorsMark().Replace(rule.Source, string.Empty).Trim();

    [GeneratedRegex(@"\s*\([^()]*(?:from memory|seen in [^()]*|our own proposal)[^()]*\)", RegexOptions.CultureInvariant)]
    private static partial Regex EditorsMark();
}
