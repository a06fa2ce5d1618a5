using EarReferral.Encounters.Reading;
using Microsoft.AspNetCore.Mvc;

namespace EarReferral.Gateway.Intake;

/// <summary>Answers of the intake when it does not store, as RFC 9457 problem details.</summary>
internal static class IntakeProblem
{
    private const string TypeBase = "https://ear-referral.example/problems/";

    /// <summary>The document has problems; every one is listed with its place.</summary>
    /// <param name="problems">All problems.</param>
    /// <param name="provisional">What the readable part already says, so that a red flag is not lost with the document.</param>
    public static IResult Refused(IReadOnlyList<EncounterProblem> problems, ReceiptDecision? provisional)
    {
        var isUnreadable = problems.Any(problem => problem.Id.StartsWith("json.", StringComparison.Ordinal));
        var isUrgent = provisional is { Tier: "T0" or "T1" };
        return Problem(isUnreadable ? StatusCodes.Status400BadRequest : StatusCodes.Status422UnprocessableEntity, "encounter-refused", "The encounter was not accepted", isUrgent
            ? $"Nothing was stored. PHONE NOW: the readable part already shows {string.Join(", ", provisional!.Fired.Where(rule => rule.Tier == provisional.Tier).Select(rule => rule.Rule))} ({provisional.TimeLimit}). Correct the document and post it again."
            : "Nothing was stored. Correct the places listed and post it again.", new()
            {
                ["errors"] = problems.Select(problem => new { id = problem.Id, pointer = problem.Pointer, detail = problem.Sentence }),
                ["phoneNow"] = isUrgent,
                ["provisionalDecision"] = provisional,
            });
    }

    /// <summary>The same revision was stored with other content.</summary>
    public static IResult ContentDiffers() => Problem(StatusCodes.Status409Conflict, "content-differs", "This revision is already stored with other content", "Send a correction as the next revision with PUT and say what it supersedes.");

    /// <summary>A revision is missing in between.</summary>
    public static IResult RevisionGap(int expected) => Problem(StatusCodes.Status409Conflict, "revision-gap", "A revision is missing", $"The next revision of this encounter is {expected}.");

    /// <summary>A later revision is stored already.</summary>
    public static IResult RevisionBehind(int newest) => Problem(StatusCodes.Status409Conflict, "revision-behind", "A later revision is stored", $"The stored revision is {newest}; correct that one.");

    /// <summary>The precondition does not hold.</summary>
    public static IResult Stale(int newest) => Problem(StatusCodes.Status412PreconditionFailed, "stale", "The encounter has changed meanwhile", $"If-Match must name revision {newest}.");

    /// <summary>A header that guards against lost corrections is missing.</summary>
    public static IResult NeedsIfMatch() => Problem(StatusCodes.Status428PreconditionRequired, "if-match-required", "If-Match is missing", "Send If-Match with the revision you corrected, as given in the ETag of GET.");

    /// <summary>The clinic is not configured here.</summary>
    public static IResult UnknownClinic() => Problem(StatusCodes.Status403Forbidden, "unknown-clinic", "This clinic is not known here", "The clinic of the document is not among the configured clinics.");

    /// <summary>Nothing there, or not for this caller.</summary>
    public static IResult NotFound() => Problem(StatusCodes.Status404NotFound, "not-found", "Nothing is stored at this address", "Check the address; it is the Location of the receipt.");

    /// <summary>Not ready to judge or to store; nothing was stored.</summary>
    public static IResult NotReady(HttpContext context, string why)
    {
        context.Response.Headers.RetryAfter = "5";
        return Problem(StatusCodes.Status503ServiceUnavailable, "not-ready", "Not ready", $"{why} Nothing was stored; post again in 5 seconds. If the patient cannot wait, phone.");
    }

    /// <summary>Any other refusal.</summary>
    public static IResult Problem(int status, string type, string title, string detail, Dictionary<string, object?>? more = null) => Results.Problem(new ProblemDetails
    {
        Status = status,
        Type = TypeBase + type,
        Title = title,
        Detail = detail,
        Extensions = more ?? [],
    });
}
