using System.CommandLine;
using System.Globalization;
using EarReferral.Gateway.Rules;
using EarReferral.Gateway.Vocabulary;

namespace EarReferral.Gateway.CommandLine;

/// <summary>The verb <c>vocabulary</c>: judges a clinic's own concept maps before a start does.</summary>
internal static class VocabularyCommand
{
    /// <summary>The verb with its own verb.</summary>
    public static Command Create()
    {
        var folder = new Argument<DirectoryInfo>("FOLDER") { Description = "Folder with the clinic's ConceptMaps, one file per list of the contract." };
        var check = new Command("check", "Checks the concept maps as a start would. Exit code 0: sound, 1: not.") { folder };
        check.SetAction((parsed, _) => CheckAsync(parsed.GetValue(folder)!, Console.Out));
        return new Command("vocabulary", "The code lists of clinics.") { check };
    }

    /// <summary>Prints every fault, or what was read.</summary>
    public static async Task<int> CheckAsync(DirectoryInfo folder, TextWriter results)
    {
        var (read, problems) = ClinicVocabularies.Check(new Dictionary<string, string> { ["clinic"] = folder.FullName }, RuleFolder.Load(RuleFolder.Published));
        foreach (var problem in problems)
        {
            await results.WriteLineAsync(problem);
        }

        foreach (var vocabulary in read.All)
        {
            await results.WriteLineAsync(string.Create(
                CultureInfo.InvariantCulture, $"{vocabulary.System} {vocabulary.Version}: {string.Join(", ", vocabulary.Lists.Select(list => $"{list.Key} ({list.Value.Count})").Order(StringComparer.Ordinal))}"));
        }

        return problems.Count == 0 && read.All.Count > 0 ? ExitCode.Done : ExitCode.Failed;
    }
}
