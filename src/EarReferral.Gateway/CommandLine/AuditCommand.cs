using System.CommandLine;
using EarReferral.Storage;
using EarReferral.Storage.Audit;

namespace EarReferral.Gateway.CommandLine;

/// <summary>Goes through the chain over the audit rows; reads the store itself, so that it can be done without the service.</summary>
internal static class AuditCommand
{
    /// <summary>The verb.</summary>
    public static Command Create(Option<DirectoryInfo> data, TextWriter results)
    {
        var verify = new Command("verify", "Finds the first audit row at which the chain does not hold. Exit code 0: it holds, 1: it does not.") { data };
        verify.SetAction((parsed, stop) => VerifyAsync(parsed.GetValue(data)!.FullName, results, stop));
        return new Command("audit", "The audit trail.") { verify };
    }

    private static async Task<int> VerifyAsync(string dataFolder, TextWriter results, CancellationToken stop)
    {
        var options = new ConfigurationBuilder().AddEnvironmentVariables().Build().GetSection(StorageOptions.Section).Get<StorageOptions>() ?? new StorageOptions();
        if (options.ConnectionString is null && options.DataFolder is null)
        {
            options.DataFolder = dataFolder;
        }

        await using var services = new ServiceCollection().AddStorage(options).BuildServiceProvider();
        var found = await services.GetRequiredService<AuditSeals>().VerifyAsync(stop);
        await results.WriteLineAsync(found.BrokenAt is null
            ? $"{found.Sealed} rows sealed, {found.Erased} of them erased since; {found.Unsealed} not sealed yet. The chain holds."
            : $"BROKEN at audit row {found.BrokenAt}: {found.Problem}. {found.Sealed} links before it hold.");
        return found.BrokenAt is null ? ExitCode.Done : ExitCode.Failed;
    }
}
