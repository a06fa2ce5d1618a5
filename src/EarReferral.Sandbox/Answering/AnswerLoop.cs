using System.Text.Json;
using EarReferral.Sandbox.Storing;

namespace EarReferral.Sandbox.Answering;

/// <summary>Tells the gateway what becomes of its Tasks, again and again until it listens; the journal remembers what was told.</summary>
internal sealed class AnswerLoop(ReceiverStore store, SandboxOptions options, GatewayTasks? gateway, TimeProvider time, ILogger<AnswerLoop> logger) : BackgroundService
{
    private static readonly TimeSpan Pulse = TimeSpan.FromMilliseconds(200);
    private static readonly TimeSpan LongestWait = TimeSpan.FromSeconds(30);
    private readonly Dictionary<string, (int Failures, DateTimeOffset NotBefore)> postponed = [];

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        if (gateway is null)
        {
            return;
        }

        while (!stoppingToken.IsCancellationRequested)
        {
            foreach (var answer in store.Awaited())
            {
                if (answer.Next(options) is { } next && next.Due <= time.GetUtcNow() && IsTime(answer.TaskId))
                {
                    await TellAsync(gateway, answer, next.Step, stoppingToken);
                }
            }

            await Task.Delay(Pulse, time, stoppingToken).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        }
    }

    private bool IsTime(string taskId) => !postponed.TryGetValue(taskId, out var wait) || wait.NotBefore <= time.GetUtcNow();

    private async Task TellAsync(GatewayTasks tasks, AwaitedAnswer answer, AnswerStep step, CancellationToken stop)
    {
        switch (await tasks.TellAsync(answer.Identifier, step, time.GetUtcNow(), stop))
        {
            case AnswerResult.Told:
                Log.Answered(logger, answer.TaskId, step, "yes");
                Remember(answer.TaskId, step, changed: true);
                break;
            case AnswerResult.Overtaken overtaken:
                Log.Answered(logger, answer.TaskId, step, overtaken.Status);
                Remember(answer.TaskId, step, changed: false);
                break;
            case AnswerResult.Postponed later:
                var failures = postponed.TryGetValue(answer.TaskId, out var before) ? before.Failures + 1 : 1;
                var delay = TimeSpan.FromSeconds(Math.Min(Math.Pow(2, failures - 1), LongestWait.TotalSeconds));
                postponed[answer.TaskId] = (failures, time.GetUtcNow() + delay);
                Log.AnswerPostponed(logger, answer.TaskId, step, later.Reason, delay);
                break;
            default:
                throw new InvalidOperationException("An answer has a result that is not known.");
        }
    }

    private void Remember(string taskId, AnswerStep step, bool changed)
    {
        postponed.Remove(taskId);
        store.Exclusively(() =>
        {
            // A reset may have come while the gateway was being told.
            if (store.Read("Task", taskId) is { } task)
            {
                var now = time.GetUtcNow();
                var own = JsonSerializer.SerializeToNode(task.Json)!.AsObject();
                var kept = changed ? StoredResource.Of(TaskAnswer.Apply(own, step, now), taskId, task.Version + 1, now) : task;
                store.Commit(new JournalLine.Answered(now, step, kept));
            }

            return true;
        });
    }
}
