using System.Text.Encodings.Web;
using System.Text.Json;
using EarReferral.Gateway.Fhir.Checks;
using EarReferral.Validation;

namespace EarReferral.Gateway.CommandLine;

/// <summary>The verb <c>check</c>: judges files offline, by the same profiles as <c>$validate</c>.</summary>
internal static class CheckCommand
{
    private static readonly JsonSerializerOptions Json = new(JsonSerializerDefaults.Web) { WriteIndented = true, Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    /// <summary>Checks files and folders.</summary>
    /// <param name="paths">Files, or folders that are searched for <c>.json</c> and <c>.xml</c>.</param>
    /// <param name="asJson">Print the results as one JSON document.</param>
    /// <param name="results">Where results go.</param>
    /// <param name="progress">Where progress and complaints about the command line go.</param>
    /// <param name="stop">Stops between two files.</param>
    /// <returns><see cref="ExitCode"/>: done when every file is valid, failed when one is not or could not be read.</returns>
    public static async Task<int> RunAsync(IReadOnlyList<string> paths, bool asJson, TextWriter results, TextWriter progress, CancellationToken stop)
    {
        var missing = paths.Where(path => !File.Exists(path) && !Directory.Exists(path)).ToList();
        foreach (var path in missing)
        {
            await progress.WriteLineAsync($"There is no file or folder {path}.");
        }

        var files = missing.Count > 0 ? [] : paths.SelectMany(Files).Distinct(StringComparer.Ordinal).ToList();
        if (files.Count == 0)
        {
            await progress.WriteLineAsync("Nothing to check: name files, or folders with .json or .xml files.");
            return ExitCode.Usage;
        }

        await progress.WriteLineAsync($"Checking {files.Count} file(s).");
        var validator = new ReferralValidator(ProfileSet.Embedded());
        var checkedFiles = new List<CheckedFile>();
        foreach (var (index, file) in files.Index())
        {
            stop.ThrowIfCancellationRequested();
            checkedFiles.Add(await CheckAsync(file, validator, stop));
            await progress.WriteLineAsync($"{index + 1}/{files.Count} {file}");
            if (!asJson)
            {
                await WriteAsync(checkedFiles[^1], results);
            }
        }

        var invalid = checkedFiles.Count(file => !file.Valid);
        await results.WriteLineAsync(asJson
            ? JsonSerializer.Serialize(new { valid = checkedFiles.Count - invalid, invalid, files = checkedFiles }, Json)
            : $"{checkedFiles.Count - invalid} valid, {invalid} not valid.");
        return invalid == 0 ? ExitCode.Done : ExitCode.Failed;
    }

    private static IEnumerable<string> Files(string path) => File.Exists(path)
        ? [path]
        : Directory.EnumerateFiles(path, "*", SearchOption.AllDirectories).Where(file => Path.GetExtension(file) is ".json" or ".xml").Order(StringComparer.Ordinal);

    private static async Task<CheckedFile> CheckAsync(string file, ReferralValidator validator, CancellationToken stop)
    {
        byte[] bytes;
        try
        {
            bytes = await File.ReadAllBytesAsync(file, stop);
        }
        catch (Exception refused) when (refused is IOException or UnauthorizedAccessException)
        {
            return new CheckedFile(file, false, [new CheckedIssue("error", "exception", "Resource", "unreadable", "The file could not be read, so it was not checked.", "Make it readable and check again.")]);
        }

        var received = Path.GetExtension(file) == ".xml" ? ReceivedResource.FromXml(bytes) : ReceivedResource.FromJson(bytes);
        var report = ResourceCheck.Of(received, validator);
        return new CheckedFile(file, report.IsValid, [.. report.Issues.Select(issue => new CheckedIssue(JsonNamingPolicy.CamelCase.ConvertName(issue.Severity.ToString()), issue.Code, issue.Location, issue.RuleId, issue.Text, ResourceCheck.Advice(issue)))]);
    }

    private static async Task WriteAsync(CheckedFile file, TextWriter results)
    {
        await results.WriteLineAsync($"{(file.Valid ? "valid    " : "not valid")}  {file.File}");
        foreach (var issue in file.Issues)
        {
            await results.WriteLineAsync($"  {issue.Severity} {issue.Expression} ({issue.Rule}): {issue.Text} {issue.Advice}");
        }
    }

    private sealed record CheckedFile(string File, bool Valid, IReadOnlyList<CheckedIssue> Issues);

    private sealed record CheckedIssue(string Severity, string Code, string Expression, string Rule, string Text, string Advice);
}
