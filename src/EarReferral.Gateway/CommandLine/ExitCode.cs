namespace EarReferral.Gateway.CommandLine;

/// <summary>Exit codes of every verb.</summary>
internal static class ExitCode
{
    /// <summary>What was asked for was done.</summary>
    public const int Done = 0;

    /// <summary>It was tried and failed.</summary>
    public const int Failed = 1;

    /// <summary>The command line was wrong.</summary>
    public const int Usage = 2;

    /// <summary>A service that is needed did not answer.</summary>
    public const int Unreachable = 3;
}
