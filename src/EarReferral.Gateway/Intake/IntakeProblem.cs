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
        var isUnreadable = problems.Any(problem => problem.Id.StartsWith("json.", StringComparison.Ordinal) || problem.Id.StartsWith("document.", StringComparison.Ordinal));
        return NotTaken(isUnreadable ? StatusCodes.Status400BadRequest : StatusCodes.Status422UnprocessableEntity, "encounter-refused", "The encounter was not accepted", "Correct the places listed and post it again.", provisional, new()
        {
            ["errors"] = problems.Select(problem => new { id = problem.Id, pointer = problem.Pointer, detail = problem.Sentence }),
        });
    }

    /// <summary>The same revision was stored with other content.</summary>
    public static IResult ContentDiffers(ReceiptDecision provisional) => NotTaken(StatusCodes.Status409Conflict, "content-differs", "This revision is already stored with other content", "Send a correction as the next revision with PUT and say what it supersedes.", provisional);

    /// <summary>A revision is missing in between.</summary>
    public static IResult RevisionGap(int expected, ReceiptDecision provisional) => NotTaken(StatusCodes.Status409Conflict, "revision-gap", "A revision is missing", $"The next revision of this encounter is {expected}.", provisional);

    /// <summary>A later revision is stored already.</summary>
    public static IResult RevisionBehind(int newest, ReceiptDecision provisional) => NotTaken(StatusCodes.Status409Conflict, "revision-behind", "A later revision is stored", $"The stored revision is {newest}; correct that one.", provisional);

    /// <summary>The clinic retracted the encounter.</summary>
    public static IResult Retracted(ReceiptDecision? provisional) => NotTaken(StatusCodes.Status409Conflict, "encounter-retracted", "This encounter was retracted", "Nothing follows a retraction. Post what is right as a new encounter with an encounter number of its own.", provisional);

    /// <summary>The precondition does not hold.</summary>
    public static IResult Stale(int newest, ReceiptDecision? provisional) => NotTaken(StatusCodes.Status412PreconditionFailed, "stale", "The encounter has changed meanwhile", $"If-Match must name revision {newest}.", provisional);

    /// <summary>A correction came in between; which revision it is was not read.</summary>
    public static IResult ChangedMeanwhile() => NotTaken(StatusCodes.Status412PreconditionFailed, "stale", "The encounter has changed meanwhile", "Read it again and take its ETag.", null);

    /// <summary>A header that guards against lost corrections is missing.</summary>
    public static IResult NeedsIfMatch(ReceiptDecision? provisional) => NotTaken(StatusCodes.Status428PreconditionRequired, "if-match-required", "If-Match is missing", "Send If-Match with the revision you corrected, as given in the ETag of GET.", provisional);

    /// <summary>The clinic is not configured here.</summary>
    public static IResult UnknownClinic(ReceiptDecision provisional) => NotTaken(StatusCodes.Status403Forbidden, "unknown-clinic", "This clinic is not known here", "The clinic of the document is not among the configured clinics.", provisional);

    /// <summary>Nothing there, or not for this caller.</summary>
    public static IResult NotFound() => Problem(StatusCodes.Status404NotFound, "not-found", "Nothing is stored at this address", "Check the address; it is the Location of the receipt.");

    /// <summary>Not ready to judge or to store; nothing was stored.</summary>
    public static IResult NotReady(HttpContext context, string why)
    {
        context.Response.Headers.RetryAfter = "5";
        return Problem(StatusCodes.Status503ServiceUnavailable, "not-ready", "Not ready", $"{why} Nothing was stored; post again in 5 seconds. If the patient cannot wait, phone.");
    }

    /// <summary>Nothing was stored, and a red flag in what was posted must not vanish with it.</summary>
    private static IResult NotTaken(int status, string type, string title, string whatToDo, ReceiptDecision? provisional, Dictionary<string, object?>? more = null)
    {
        var isUrgent = provisional is { Tier: "T0" or "T1" };
        var detail = isUrgent
            ? $"Nothing was stored. PHONE NOW: what was posted shows {string.Join(", ", provisional!.Fired.Where(rule => rule.Tier == provisional.Tier).Select(rule => rule.Rule).Distinct())} ({provisional.TimeLimit}). {whatToDo}"
            : $"Nothing was stored. {whatToDo}";
        return Problem(status, type, title, detail, new(more ?? []) { ["phoneNow"] = isUrgent, ["provisionalDecision"] = provisional });
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
