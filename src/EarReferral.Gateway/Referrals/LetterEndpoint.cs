using System.Globalization;
using System.Net.Mime;
using EarReferral.Delivery;
using EarReferral.Delivery.Destinations;
using EarReferral.Gateway.Fhir.Operations;
using EarReferral.Gateway.Intake;
using EarReferral.Gateway.Summaries;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Resources;
using EarReferral.Summary.Pages;
using Hl7.Fhir.Model;

namespace EarReferral.Gateway.Referrals;

/// <summary>The referral as a letter to print at once: for the patient to carry, and for when the receiver cannot be reached electronically.</summary>
internal static class LetterEndpoint
{
    /// <summary>Maps the addresses.</summary>
    public static void MapLetter(this IEndpointRouteBuilder routes)
    {
        Map(routes, "/referrals/{id:guid}/letter", (id, context, referrals, resources, directory) => LetterAsync(id, context, referrals, resources, directory, SheetResult.AsksForPdf(context)))
            .WithSummary("The referral as a letter: what is asked and by when, why, medicines, how to reach the patient, who was phoned; as PDF by Accept. Made from what is stored now, and no part of what is sent.");
        Map(routes, "/referrals/{id:guid}/letter.pdf", (id, context, referrals, resources, directory) => LetterAsync(id, context, referrals, resources, directory, pdf: true))
            .WithSummary("The referral letter as a PDF on A4, on one page where it fits at 8 points or more; nothing is left out for that.");
    }

    private static RouteHandlerBuilder Map(IEndpointRouteBuilder routes, string pattern, Func<Guid, HttpContext, ReferralStore, ResourceStore, DestinationDirectory, Task<IResult>> answer) =>
        routes.MapGet(pattern, answer)
            .WithTags("Referrals")
            .Produces<string>(StatusCodes.Status200OK, MediaTypeNames.Text.Html, MediaTypeNames.Application.Pdf)
            .ProducesProblem(StatusCodes.Status404NotFound);

    private static async Task<IResult> LetterAsync(Guid id, HttpContext context, ReferralStore referrals, ResourceStore resources, DestinationDirectory directory, bool pdf)
    {
        var reach = Callers.Clinic(context);
        var key = id.ToString();
        if (await referrals.FindAsync(reach, key, context.RequestAborted) is not { } referral
            || (await resources.ReadAsync(reach, "ServiceRequest", key, context.RequestAborted))?.Parse() is not ServiceRequest request)
        {
            return IntakeProblem.NotFound();
        }

        var reached = await SummaryDocument.ReachedAsync(request, reach, resources, context.RequestAborted);
        var bundle = new Bundle { Entry = [.. reached.Where(resource => resource.Id != request.Id).Prepend(request).Select(resource => new Bundle.EntryComponent { Resource = resource })] };
        var timeline = await referrals.TimelineAsync(reach, key, context.RequestAborted);
        var calls = timeline.Where(entry => entry.Kind is ClockReader.CallTaken or "phoned").Select(Call).ToList();
        return SheetResult.Of(context, ReferralLetter.Of(bundle, calls, directory.Numbers(referral.Destination)), id, request.AuthoredOn, pdf, preferOnePage: true);
    }

    private static string Call(ReferralEvent call) =>
        string.Create(CultureInfo.InvariantCulture, $"Telephoned, recorded {call.At.UtcDateTime:d MMMM yyyy, HH:mm} UTC by {call.Actor}{(call.Detail is { Length: > 0 } words ? $": {words}" : string.Empty)}.");
}
