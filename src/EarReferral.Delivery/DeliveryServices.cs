using System.Net;
using EarReferral.Delivery.Alarms;
using EarReferral.Delivery.Authorisation;
using EarReferral.Delivery.Calendars;
using EarReferral.Delivery.Destinations;
using EarReferral.Delivery.Notices;
using EarReferral.Delivery.Sending;
using EarReferral.Delivery.Working;
using Microsoft.Extensions.Configuration;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.DependencyInjection.Extensions;
using Microsoft.Extensions.Options;

namespace EarReferral.Delivery;

/// <summary>Registers the delivery.</summary>
public static class DeliveryServices
{
    private const int LargestAnswer = 8 * 1024 * 1024;

    /// <summary>
    /// Adds options, HTTP client and background workers. The stores must be registered by the caller. The host refuses to start
    /// with a configuration that could let a referral get stuck in silence.
    /// </summary>
    public static IServiceCollection AddDelivery(this IServiceCollection services, IConfiguration configuration)
    {
        services.AddOptions<DeliveryOptions>().Bind(configuration.GetSection(DeliveryOptions.Section)).ValidateOnStart();
        services.PostConfigure<DeliveryOptions>(options =>
        {
            if (configuration[$"{DeliveryOptions.Section}:Source"] is null && Uri.TryCreate(configuration["Gateway:PublicBaseUrl"], UriKind.Absolute, out var own))
            {
                options.Source = new Uri(own, "fhir");
            }
        });
        services.TryAddEnumerable(ServiceDescriptor.Singleton<IValidateOptions<DeliveryOptions>, DeliveryOptionsValidation>());
        services.AddOptions<AlarmOptions>().Bind(configuration.GetSection($"{DeliveryOptions.Section}:Alarms")).ValidateOnStart();
        services.TryAddEnumerable(ServiceDescriptor.Singleton<IValidateOptions<AlarmOptions>, AlarmOptionsValidation>());
        services.TryAddSingleton(TimeProvider.System);
        services.TryAddSingleton<DeliverySignal>();
        services.AddHttpClient(EntClient.ClientName, client =>
        {
            // The attempt's own timeout is the only one; see EntClient.
            client.Timeout = Timeout.InfiniteTimeSpan;
            client.MaxResponseContentBufferSize = LargestAnswer;
        }).ConfigurePrimaryHttpMessageHandler(() => new SocketsHttpHandler
        {
            // A redirect would take the body and later a token to a place nobody configured.
            AllowAutoRedirect = false,
            UseCookies = false,
            AutomaticDecompression = DecompressionMethods.All,
            ConnectTimeout = TimeSpan.FromSeconds(10),
            PooledConnectionLifetime = TimeSpan.FromMinutes(5),
            PooledConnectionIdleTimeout = TimeSpan.FromMinutes(1),
        }).RemoveAllLoggers();
        services.AddHttpClient(SignedPost.ClientName, client => client.Timeout = Timeout.InfiniteTimeSpan)
            .ConfigurePrimaryHttpMessageHandler(() => new SocketsHttpHandler { AllowAutoRedirect = false, UseCookies = false, ConnectTimeout = TimeSpan.FromSeconds(5), PooledConnectionLifetime = TimeSpan.FromMinutes(5) })
            .RemoveAllLoggers();
        services.TryAddSingleton<Pulse>();
        services.TryAddSingleton<SignedPost>();
        services.TryAddSingleton<Channels>();
        services.TryAddSingleton<AlarmRounds>();
        services.TryAddSingleton<TokenSource>();
        services.TryAddSingleton<EntClient>();
        services.TryAddSingleton<Exchange>();
        services.TryAddSingleton(provider => CalendarFile.Load(provider.GetRequiredService<IOptions<DeliveryOptions>>().Value.CalendarFile));
        services.TryAddSingleton<DestinationDirectory>();
        services.TryAddSingleton(provider => new DestinationVerifier(
            provider.GetRequiredService<EntClient>(),
            provider.GetRequiredService<EarReferral.Storage.Sending.DestinationStore>(),
            provider.GetRequiredService<IOptions<DeliveryOptions>>(),
            provider.GetRequiredService<TimeProvider>(),
            provider.GetRequiredService<Microsoft.Extensions.Logging.ILogger<DestinationVerifier>>()));
        services.TryAddSingleton(provider => new TaskQuestions(provider.GetRequiredService<EntClient>()));
        services.TryAddSingleton<ClockReader>();
        services.TryAddSingleton<OverdueAlarm>();
        services.TryAddSingleton<Withdrawals>();
        services.TryAddSingleton<Courier>();
        services.AddHostedService<DeliveryWorker>();
        services.AddHostedService<OverdueWatch>();
        services.TryAddSingleton<NoticeRounds>();
        services.AddHostedService<NoticeWorker>();
        services.AddHostedService<AlarmWorker>();
        services.AddHostedService<Heartbeat>();
        return services;
    }
}
