using EarReferral.Storage.Audit;

namespace EarReferral.Gateway.Security;

/// <summary>Links committed audit rows into the chain about once a second.</summary>
internal sealed class AuditSealer(AuditSeals seals, TimeProvider clock, ILogger<AuditSealer> logger) : BackgroundService
{
    private static readonly TimeSpan Pause = TimeSpan.FromSeconds(1);

    /// <inheritdoc />
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        while (!stoppingToken.IsCancellationRequested)
        {
            await Task.Delay(Pause, clock, stoppingToken).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
            try
            {
                await seals.SealAsync(stoppingToken);
            }
            catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
            {
                return;
            }
            catch (Exception refused) when (refused is System.Data.Common.DbException or Microsoft.EntityFrameworkCore.DbUpdateException or TimeoutException)
            {
                // The rows stay unsealed and are sealed by the next round; audit verify counts them.
                Log.SealingFailed(logger, refused.GetBaseException().GetType().Name);
            }
        }
    }
}
