namespace EarReferral.Sandbox;

/// <summary>Entry point of the stand-in ENT receiver.</summary>
internal static class Program
{
    private static async Task<int> Main(string[] args)
    {
        var (options, problems) = SandboxArguments.Parse(args);
        if (options is null)
        {
            foreach (var problem in problems)
            {
                await Console.Error.WriteLineAsync(problem);
            }

            await Console.Error.WriteLineAsync(SandboxArguments.Usage);
            return 1;
        }

        return await RunAsync(options, TimeProvider.System);
    }

    internal static async Task<int> RunAsync(SandboxOptions options, TimeProvider time)
    {
        try
        {
            await using var application = SandboxApplication.Build(options, time);
            await application.RunAsync();
            return 0;
        }
        catch (IOException problem)
        {
            // A taken port, a second sandbox on the same folder, an unreadable journal: all of them are for the person who started it.
            await Console.Error.WriteLineAsync($"The sandbox cannot start: {problem.Message}");
            return 1;
        }
    }
}
