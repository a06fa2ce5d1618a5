using System.Text.Json.Serialization;
using EarReferral.Delivery;
using EarReferral.Gateway.Attention;
using EarReferral.Gateway.Configuration;
using EarReferral.Gateway.Fhir;
using EarReferral.Gateway.Health;
using EarReferral.Gateway.Intake;
using EarReferral.Gateway.OpenApi;
using EarReferral.Gateway.Pages;
using EarReferral.Gateway.Pages.Desk;
using EarReferral.Gateway.Patients;
using EarReferral.Gateway.Quarantine;
using EarReferral.Gateway.Referrals;
using EarReferral.Gateway.Rules;
using EarReferral.Gateway.Security;
using EarReferral.Gateway.Security.Tokens;
using EarReferral.Gateway.Summaries;
using EarReferral.Storage;
using EarReferral.Validation;
using Microsoft.Extensions.Configuration.Memory;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Hosting;

/// <summary>Builds the web application; verbs and tests start the same one.</summary>
internal static class GatewayHost
{
    /// <summary>Largest body that is read. The reader refuses above 1 MiB by name; this only stops what nobody means to post.</summary>
    private const long LargestBody = 2 * 1024 * 1024;

    /// <summary>A host that is not started yet.</summary>
    /// <param name="settings">Where it listens and keeps its state.</param>
    /// <param name="replace">Exchanges services before the host is built; a test hands in profiles that a record cannot meet.</param>
    public static WebApplication Build(HostSettings settings, Action<IServiceCollection>? replace = null)
    {
        // The longest single step of the start needs nothing of the host, so it begins before there is one.
        var profiles = Task.Run(ProfileSet.Embedded);
        var builder = WebApplication.CreateBuilder(new WebApplicationOptions
        {
            ContentRootPath = AppContext.BaseDirectory,
            // The pages are found in this assembly, whichever program builds the host.
            ApplicationName = typeof(GatewayHost).Assembly.GetName().Name,
            EnvironmentName = settings.Configuration.GetValueOrDefault(HostDefaults.EnvironmentKey),
        });
        // Defaults come first, so that environment and files override them; what a verb sets itself comes last.
        builder.Configuration.Sources.Insert(0, new MemoryConfigurationSource { InitialData = Defaults(settings) });
        builder.Configuration.AddInMemoryCollection(settings.Configuration);
        builder.WebHost.UseUrls(settings.Url).ConfigureKestrel(kestrel =>
        {
            kestrel.AddServerHeader = false;
            kestrel.Limits.MaxRequestBodySize = LargestBody;
            kestrel.Limits.RequestHeadersTimeout = TimeSpan.FromSeconds(15);
            kestrel.Limits.MaxRequestHeadersTotalSize = 16 * 1024;
        });
        builder.Logging.AddSimpleConsole(console => console.SingleLine = true);
        builder.Services.Configure<Microsoft.Extensions.Logging.Console.ConsoleLoggerOptions>(console => console.LogToStandardErrorThreshold = LogLevel.Trace);

        builder.Services.AddSingleton(TimeProvider.System);
        builder.Services.AddOptions<GatewayOptions>().BindConfiguration(GatewayOptions.Section).ValidateDataAnnotations().ValidateOnStart();
        builder.Services.AddSingleton(services => ClinicDirectory.Read(
            services.GetRequiredService<IConfiguration>(),
            services.GetRequiredService<IOptions<DeliveryOptions>>().Value.Destinations));
        var storage = Storage(builder.Configuration, settings.DataFolder);
        builder.Services.AddStorage(storage);
        builder.Services.AddDelivery(builder.Configuration);
        builder.Services.AddIntake(builder.Configuration, profiles);
        builder.AddSecurity(storage, settings.Url, settings.DataFolder);
        builder.Services.AddProblemDetails();
        builder.Services.AddFhirCompression();
        builder.Services.ConfigureHttpJsonOptions(json =>
        {
            json.SerializerOptions.DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull;
            json.SerializerOptions.NumberHandling = JsonNumberHandling.Strict;
            json.SerializerOptions.RespectNullableAnnotations = true;
            json.SerializerOptions.Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping;
        });
        builder.Services.AddDesk(settings.DataFolder);
        builder.Services.AddContractOpenApi();

        replace?.Invoke(builder.Services);
        var application = builder.Build();
        Use(application);
        Map(application);
        return application;
    }

    private static void Use(WebApplication application)
    {
        application.UseResponseCompression();
        application.UseExceptionHandler(new ExceptionHandlerOptions
        {
            ExceptionHandler = context => DeskFailure.Concerns(context) ? DeskFailure.WriteAsync(context) : FhirErrors.Concerns(context) ? FhirErrors.WriteExceptionAsync(context) : RequestFailure.WriteAsync(context),
        });
        application.UseStatusCodePages(refused => DeskFailure.Concerns(refused.HttpContext) ? DeskFailure.WriteAsync(refused.HttpContext) : FhirErrors.Concerns(refused.HttpContext)
            ? FhirErrors.WriteAsync(refused)
            : Results.Problem(statusCode: refused.HttpContext.Response.StatusCode).ExecuteAsync(refused.HttpContext));
        application.Use(SecurityHeaders.AddAsync);
        application.UseAuthentication();
        application.UseMiddleware<AccessGate>();
        application.UseRateLimiter();
    }

    private static void Map(WebApplication application)
    {
        application.MapHealth();
        application.MapTokens();
        application.MapSmartConfiguration();
        application.MapContractDocuments();
        application.MapNotifications();
        application.MapDesk();
        var audited = application.MapGroup("").AddEndpointFilter<RouteGroupBuilder, DisclosureFilter>();
        audited.MapEncounters();
        audited.MapSummaryGiven();
        audited.MapReferrals();
        audited.MapAttention();
        audited.MapAlarms();
        audited.MapQuarantine();
        audited.MapPatients();
        audited.MapRules();
        audited.MapSummaries();
        audited.MapFhir();
    }

    private static Dictionary<string, string?> Defaults(HostSettings settings) => new()
    {
        ["Gateway:PublicBaseUrl"] = settings.Url,
        ["Rules:Folder"] = RuleFolder.Published,
        ["Logging:LogLevel:Default"] = "Information",
        ["Logging:LogLevel:Microsoft"] = "Warning",
        ["Logging:LogLevel:System.Net.Http"] = "Warning",
        // It warns of the header by which every answer of ours is not kept.
        ["Logging:LogLevel:Microsoft.AspNetCore.Antiforgery"] = "Error",
    };

    private static StorageOptions Storage(ConfigurationManager configuration, string dataFolder)
    {
        var options = configuration.GetSection(StorageOptions.Section).Get<StorageOptions>() ?? new StorageOptions();
        if (options.ConnectionString is null && options.DataFolder is null)
        {
            options.DataFolder = dataFolder;
        }

        return options;
    }
}
