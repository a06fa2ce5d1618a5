using System.Net.Mime;
using EarReferral.Gateway.Fhir.Operations;
using EarReferral.Gateway.Intake;
using EarReferral.Storage.Resources;
using EarReferral.Summary.Pages;
using Hl7.Fhir.Model;

namespace EarReferral.Gateway.Summaries;

/// <summary>The summary for people, as page and as paper; systems read the same content as <c>Composition/{id}/$document</c>.</summary>
internal static class SummaryEndpoints
{
    /// <summary>Maps the addresses.</summary>
    public static void MapSummaries(this IEndpointRouteBuilder routes)
    {
        Map(routes, "/summaries/{id:guid}", (id, context, resources) => SummaryAsync(id, context, resources, SheetResult.AsksForPdf(context)))
            .WithSummary("The summary of a visit as a page to read, with drawings of each ear before and after; as PDF by Accept. The id is that of the Composition.");
        Map(routes, "/summaries/{id:guid}.pdf", (id, context, resources) => SummaryAsync(id, context, resources, pdf: true))
            .WithSummary("The summary of a visit as a PDF on A4. A character that the font cannot set is printed as a box and said to be so; the page is what counts.");
        Map(routes, "/summaries/{id:guid}/patient-copy", (id, context, resources) => PatientCopyAsync(id, context, resources, SheetResult.AsksForPdf(context)))
            .WithSummary("The visit in plain words for the patient; as PDF by Accept. print=large gives large print (18 points).");
        Map(routes, "/summaries/{id:guid}/patient-copy.pdf", (id, context, resources) => PatientCopyAsync(id, context, resources, pdf: true))
            .WithSummary("The patient's copy as a PDF on A4; print=large gives large print (18 points).");
    }

    private static RouteHandlerBuilder Map(IEndpointRouteBuilder routes, string pattern, Func<Guid, HttpContext, ResourceStore, Task<IResult>> answer) =>
        routes.MapGet(pattern, answer)
            .WithTags("Summaries")
            .Produces<string>(StatusCodes.Status200OK, MediaTypeNames.Text.Html, MediaTypeNames.Application.Pdf)
            .ProducesProblem(StatusCodes.Status404NotFound);

    private static async Task<IResult> SummaryAsync(Guid id, HttpContext context, ResourceStore resources, bool pdf) =>
        await FindAsync(id, context, resources) is { } document
            ? SheetResult.Of(context, SummaryPage.Of(document), id, Written(document), pdf)
            : NotFound();

    private static async Task<IResult> PatientCopyAsync(Guid id, HttpContext context, ResourceStore resources, bool pdf)
    {
        if (SheetResult.Size(context.Request.Query["print"]) is not { } print)
        {
            return Results.Problem(statusCode: StatusCodes.Status400BadRequest, title: "print is usual or large.");
        }

        return await FindAsync(id, context, resources) is { } document
            ? SheetResult.Of(context, PatientCopy.Of(document), id, Written(document), pdf, print)
            : NotFound();
    }

    private static Task<Bundle?> FindAsync(Guid id, HttpContext context, ResourceStore resources) =>
        SummaryDocument.FindAsync(id.ToString(), Callers.FhirClient(context), resources, context.RequestAborted);

    private static string? Written(Bundle document) => ((Composition)document.Entry[0].Resource!).Date;

    private static IResult NotFound() => Results.Problem(statusCode: StatusCodes.Status404NotFound, title: "There is no summary with this id.");
}
