using System.Text;
using EarReferral.Encounters;

namespace EarReferral.Gateway.OpenApi;

/// <summary>Serves the contract: the JSON Schema, the OpenAPI document and a page to try it.</summary>
internal static class ContractDocuments
{
    public const string DocumentName = "v1";

    /// <summary>Registers the framework's document generator.</summary>
    public static void AddContractOpenApi(this IServiceCollection services)
    {
        services.AddOpenApi(DocumentName, options => options.AddDocumentTransformer((document, _, _) =>
        {
            document.Info.Title = "Ear referral gateway";
            document.Info.Version = "1.0";
            document.Info.Description = "Finished ear-care encounters in; coded FHIR R4 records, followed ENT referrals and GP summaries out. "
                + "Decision support for trained staff: local policy and the licensed practitioner decide, emergencies are phoned first.";
            document.Servers?.Clear();
            return Task.CompletedTask;
        }));
        services.AddSingleton<OpenApiDocument>();
    }

    /// <summary>Maps the addresses.</summary>
    public static void MapContractDocuments(this WebApplication application)
    {
        application.MapGet("/schema/encounter-v1.schema.json", () => Results.Bytes(Encoding.UTF8.GetBytes(EncounterSchema.Text), "application/schema+json"))
            .ExcludeFromDescription();
        application.MapGet("/openapi/v1.json", async (OpenApiDocument document, CancellationToken stop) => Results.Bytes(await document.JsonAsync(stop), "application/json"))
            .ExcludeFromDescription();
        application.UseSwaggerUI(page =>
        {
            page.SwaggerEndpoint("/openapi/v1.json", "Ear referral gateway, contract version 1");
            page.RoutePrefix = "swagger";
            page.DocumentTitle = "Ear referral gateway: try the API";
        });
    }
}
