using EarReferral.Encounters.Vocabulary;
using EarReferral.Gateway.Configuration;
using EarReferral.Triage.Rules;
using Hl7.Fhir.Model;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Vocabulary;

/// <summary>The code lists of all configured clinics, read and checked at start.</summary>
/// <param name="All">Every vocabulary in every version.</param>
/// <param name="Maps">The concept maps that they were read from, as they are served.</param>
internal sealed record ClinicVocabularies(IReadOnlyList<ClinicVocabulary> All, IReadOnlyList<ConceptMap> Maps)
{
    /// <summary>Reads the folders of the clinics.</summary>
    /// <param name="folders">By clinic id: where its concept maps are.</param>
    /// <param name="rules">What decides; the findings that it reads are translated exactly or not at all.</param>
    /// <exception cref="OptionsValidationException">A folder is not there or a map is not sound; everything is named.</exception>
    public static ClinicVocabularies Read(IReadOnlyDictionary<string, string> folders, RuleBook rules)
    {
        var (read, problems) = Check(folders, rules);
        return problems.Count == 0 ? read : throw new OptionsValidationException(ClinicOptions.Section, typeof(ClinicOptions), problems);
    }

    /// <summary>What can be read of the folders, and everything that is wrong with them.</summary>
    public static (ClinicVocabularies Read, IReadOnlyList<string> Problems) Check(IReadOnlyDictionary<string, string> folders, RuleBook rules)
    {
        var inputs = rules.Variables.Values.SelectMany(variable => variable.FindingCodes).ToHashSet(StringComparer.Ordinal);
        List<ClinicVocabulary> all = [];
        List<ConceptMap> maps = [];
        List<string> problems = [];
        foreach (var (clinic, folder) in folders.OrderBy(pair => pair.Key, StringComparer.Ordinal))
        {
            if (!Directory.Exists(folder))
            {
                problems.Add($"Clinics:{clinic}:Vocabulary: there is no folder {folder}.");
                continue;
            }

            var reader = new VocabularyReader(clinic, inputs);
            foreach (var file in Directory.EnumerateFiles(folder, "*.json").Order(StringComparer.Ordinal))
            {
                reader.Take(Path.GetFileName(file), File.ReadAllText(file));
            }

            all.AddRange(reader.Vocabularies());
            maps.AddRange(reader.Maps);
            problems.AddRange(reader.Problems.Select(problem => $"Clinics:{clinic}:Vocabulary: {problem}"));
        }

        problems.AddRange(maps.GroupBy(map => map.Id, StringComparer.Ordinal).Where(group => group.Skip(1).Any()).Select(group => $"The id {group.Key} is that of several concept maps."));
        problems.AddRange(maps.GroupBy(map => $"{map.Url}|{map.Version}", StringComparer.Ordinal).Where(group => group.Skip(1).Any()).Select(group => $"{group.Key} is the URL of several concept maps."));
        return (new ClinicVocabularies(all, maps), problems);
    }
}
