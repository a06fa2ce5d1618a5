using EarReferral.Sandbox.Answering;
using EarReferral.Sandbox.Faults;
using EarReferral.Sandbox.Http;
using EarReferral.Sandbox.Storing;
using EarReferral.Sandbox.Transactions;

namespace EarReferral.Sandbox;

/// <summary>Puts the receiver together.</summary>
internal static class SandboxApplication
{
    public static WebApplication Build(SandboxOptions options, TimeProvider time)
    {
        // No arguments and no settings files: what the command line says is all that counts.
        var builder = WebApplication.CreateSlimBuilder();
        builder.WebHost.UseUrls([.. options.Urls.Select(url => url.AbsoluteUri)]);
        builder.Services.AddSingleton(options);
        builder.Services.AddSingleton(time);
        builder.Services.AddSingleton(_ => ReceiverStore.Open(options.DataFolder));
        builder.Services.AddSingleton<TransactionProcessor>();
        builder.Services.AddSingleton<FaultSwitch>();
        builder.Services.AddHostedService(services => new AnswerLoop(
            services.GetRequiredService<ReceiverStore>(),
            options,
            options.Callback is null ? null : new GatewayTasks(new HttpClient { Timeout = TimeSpan.FromSeconds(10) }, options.Callback),
            time,
            services.GetRequiredService<ILogger<AnswerLoop>>()));

        var application = builder.Build();
        application.Use(RefuseAsync);
        application.UseMiddleware<FaultMiddleware>();
        application.UseRouting();
        FhirEndpoints.Map(application);
        SandboxEndpoints.Map(application);
        return application;
    }

    /// <summary>Whatever goes wrong, a FHIR client gets an OperationOutcome.</summary>
    private static async Task RefuseAsync(HttpContext context, RequestDelegate next)
    {
        try
        {
            await next(context);
        }
        catch (IOException problem) when (!context.RequestAborted.IsCancellationRequested && !context.Response.HasStarted)
        {
            Log.RequestFailed(context.RequestServices.GetRequiredService<ILogger<TransactionProcessor>>(), problem);
            await FhirResult.Problem(new Issue(500, "no-store", null, "The journal could not be written; nothing was stored.")).ExecuteAsync(context);
        }
    }
}
