namespace EarReferral.Gateway.Attention;

/// <summary>Raises an alarm in the log once for every matter whose clock has run out.</summary>
internal sealed class AttentionWatch(OpenMatters matters, TimeProvider clock, ILogger<AttentionWatch> logger) : BackgroundService
{
    private static readonly TimeSpan Interval = TimeSpan.FromSeconds(30);

    private readonly HashSet<OpenMatter> alarmed = [];

    /// <inheritdoc />
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using var timer = new PeriodicTimer(Interval, clock);
        do
        {
            try
            {
                foreach (var matter in (await matters.ReadAsync(clock.GetUtcNow(), stoppingToken)).Where(matter => matter.Overdue && alarmed.Add(matter)))
                {
                    Log.AttentionOverdue(logger, matter.Due, matter.Kind, matter.ClinicId, matter.ReferralId ?? matter.EncounterId ?? matter.PatientId ?? "visit number not readable");
                }
            }
            catch (System.Data.Common.DbException unreadable)
            {
                // The store may be locked or away for a while; the next round looks again.
                Log.StoreRefused(logger, unreadable.GetType().Name);
            }
        }
        while (await timer.WaitForNextTickAsync(stoppingToken));
    }
}
