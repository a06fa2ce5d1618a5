using System.Globalization;
using System.Threading.RateLimiting;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Security;

/// <summary>So many requests a minute for each client, and for each network address that is not known; more are answered 429 with the time to wait.</summary>
internal static class RateLimits
{
    private static readonly TimeSpan Window = TimeSpan.FromMinutes(1);

    /// <summary>Registers them.</summary>
    public static void AddRateLimits(this IServiceCollection services) => services.AddRateLimiter(limits =>
    {
        limits.RejectionStatusCode = StatusCodes.Status429TooManyRequests;
        limits.OnRejected = (refused, _) =>
        {
            var wait = refused.Lease.TryGetMetadata(MetadataName.RetryAfter, out var after) ? after : Window;
            refused.HttpContext.Response.Headers.RetryAfter = Math.Max(1, (int)Math.Ceiling(wait.TotalSeconds)).ToString(CultureInfo.InvariantCulture);
            return ValueTask.CompletedTask;
        };
        limits.GlobalLimiter = PartitionedRateLimiter.Create<HttpContext, string>(context =>
        {
            var options = context.RequestServices.GetRequiredService<IOptions<SecurityOptions>>().Value;
            var caller = context.Features.Get<Caller>();
            // Whoever watches the service asks every few seconds and is not known; refused, it would take the service for dead.
            return caller == Caller.Local || context.Request.Path.StartsWithSegments("/health") ? RateLimitPartition.GetNoLimiter("unlimited")
                : caller is not null && caller != Caller.Nobody ? Limited(caller.Name, options.RequestsPerMinute)
                : Limited($"address {context.Connection.RemoteIpAddress}", options.AnonymousRequestsPerMinute);
        });

        static RateLimitPartition<string> Limited(string name, int permits) => RateLimitPartition.GetSlidingWindowLimiter(
            name, _ => new SlidingWindowRateLimiterOptions { PermitLimit = permits, Window = Window, SegmentsPerWindow = 6, QueueLimit = 0 });
    });
}
