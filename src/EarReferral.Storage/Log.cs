using Microsoft.Extensions.Logging;

namespace EarReferral.Storage;

/// <summary>Messages of the store; counts and names of migrations only.</summary>
internal static partial class Log
{
    [LoggerMessage(2001, LogLevel.Information, "Applied migration {Migration}")]
    public static partial void MigrationApplied(ILogger logger, string migration);

    [LoggerMessage(2002, LogLevel.Warning, "Removed {Count} migration lock(s) left by a start that was cut off")]
    public static partial void LeftoverLockRemoved(ILogger logger, int count);

    [LoggerMessage(2003, LogLevel.Information, "Indexed {Count} resources anew for search index version {Version}")]
    public static partial void Reindexed(ILogger logger, int count, int version);

    [LoggerMessage(2005, LogLevel.Information, "Indexing anew for search index version {Version}: {Done} of {Total} resources")]
    public static partial void Reindexing(ILogger logger, int done, int total, int version);

    [LoggerMessage(2004, LogLevel.Error, "The store cannot write: {Kind} {SqlState}")]
    public static partial void NotWritable(ILogger logger, string kind, string? sqlState);
}
