using System.Net.Mime;
using EarReferral.Gateway.Fhir.Operations;
using EarReferral.Gateway.Intake;
using EarReferral.Storage.Resources;
using EarReferral.Summary.Pages;
using EarReferral.Summary.Sheets;

namespace EarReferral.Gateway.Summaries;

/// <summary>The summary as a page for people; systems read the same content as <c>Composition/{id}/$document</c>.</summary>
internal static class SummaryEndpoints
{
    public static void MapSummaries(this IEndpointRouteBuilder routes) =>
        routes.MapGet("/summaries/{id:guid}", PageAsync)
            .WithTags("Summaries")
            .WithSummary("The summary of a visit as a page to read or print, with drawings of each ear before and after. The id is that of the Composition.")
            .Produces<string>(StatusCodes.Status200OK, MediaTypeNames.Text.Html)
            .ProducesProblem(StatusCodes.Status404NotFound);

    private static async Task<IResult> PageAsync(Guid id, HttpContext context, ResourceStore resources)
    {
        if (await SummaryDocument.FindAsync(id.ToString(), Callers.FhirClient(context), resources, context.RequestAborted) is not { } document)
        {
            return Results.Problem(statusCode: StatusCodes.Status404NotFound, title: "There is no summary with this id.");
        }

        context.Response.Headers.ContentSecurityPolicy = HtmlPage.ContentSecurityPolicy;
        return Results.Text(SummaryPage.Render(document), "text/html; charset=utf-8");
    }
}
