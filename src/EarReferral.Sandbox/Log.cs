using EarReferral.Sandbox.Answering;
using EarReferral.Sandbox.Faults;

namespace EarReferral.Sandbox;

/// <summary>What the sandbox logs: ids, counts and states, never a resource.</summary>
internal static partial class Log
{
    [LoggerMessage(1, LogLevel.Information, "Transaction accepted: {Created} created, {Existing} already there.")]
    public static partial void TransactionAccepted(ILogger logger, int created, int existing);

    [LoggerMessage(2, LogLevel.Information, "Transaction refused with {Status}: {Issues} issues, first {Code}.")]
    public static partial void TransactionRefused(ILogger logger, int status, int issues, string code);

    [LoggerMessage(3, LogLevel.Information, "Fault {Mode} applied.")]
    public static partial void FaultApplied(ILogger logger, FaultMode mode);

    [LoggerMessage(4, LogLevel.Information, "Task {TaskId}: {Step} answered, gateway said {Outcome}.")]
    public static partial void Answered(ILogger logger, string taskId, AnswerStep step, string outcome);

    [LoggerMessage(5, LogLevel.Warning, "Task {TaskId}: {Step} not answered yet, {Reason}; next attempt in {Delay}.")]
    public static partial void AnswerPostponed(ILogger logger, string taskId, AnswerStep step, string reason, TimeSpan delay);

    [LoggerMessage(6, LogLevel.Error, "A request failed.")]
    public static partial void RequestFailed(ILogger logger, Exception problem);
}
