using System.Globalization;
using System.Text.Json.Nodes;
using EarReferral.Encounters.Reading;
using EarReferral.Gateway.Configuration;
using EarReferral.Storage.Encounters;
using Microsoft.AspNetCore.Mvc;
using Microsoft.Extensions.Options;

namespace EarReferral.Gateway.Intake;

/// <summary>The addresses under which clinic software posts, previews, corrects and reads encounters.</summary>
internal static class EncounterEndpoints
{
    private const string Json = "application/json";

    /// <summary>Maps the addresses.</summary>
    public static void MapEncounters(this IEndpointRouteBuilder routes)
    {
        var encounters = routes.MapGroup("/encounters").WithTags("Encounters");
        encounters.MapPost("", PostAsync)
            .WithSummary("Post a finished encounter; 201 with a receipt once it is durable, 200 with the stored receipt for a repeat.")
            .Accepts<JsonObject>(Json)
            .Produces<Receipt>(StatusCodes.Status201Created)
            .Produces<Receipt>()
            .ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status403Forbidden)
            .ProducesProblem(StatusCodes.Status409Conflict)
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity)
            .ProducesProblem(StatusCodes.Status503ServiceUnavailable);
        encounters.MapPost("/preview", PreviewAsync)
            .WithSummary("Everything but store and send; also for a visit still in progress.")
            .Accepts<JsonObject>(Json)
            .Produces<Receipt>()
            .ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity)
            .ProducesProblem(StatusCodes.Status503ServiceUnavailable);
        encounters.MapPut("/{id:guid}", PutAsync)
            .WithSummary("Correct a stored encounter: the next revision, with supersedes and If-Match.")
            .Accepts<JsonObject>(Json)
            .Produces<Receipt>()
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status412PreconditionFailed)
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity)
            .ProducesProblem(StatusCodes.Status428PreconditionRequired);
        encounters.MapPost("/{id:guid}/answers", AnswerAsync)
            .WithSummary("Answer open questions; stored as the next revision.")
            .Produces<Receipt>()
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
        encounters.MapPost("/{id:guid}/decision", DecideAsync)
            .WithSummary("A named clinician raises or lowers the tier, or answers rules that fired, with If-Match; stored as the next revision, which is decided anew. A repeat gets the same receipt.")
            .Produces<Receipt>()
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status409Conflict)
            .ProducesProblem(StatusCodes.Status412PreconditionFailed)
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity)
            .ProducesProblem(StatusCodes.Status428PreconditionRequired)
            .ProducesProblem(StatusCodes.Status503ServiceUnavailable);
        encounters.MapGet("/{id:guid}/decisions", DecisionsAsync)
            .WithSummary("Every version of the decision, oldest first, as its receipt gave it.")
            .Produces<DecisionHistory>()
            .ProducesProblem(StatusCodes.Status404NotFound);
        encounters.MapPost("/{id:guid}/retraction", RetractAsync)
            .WithSummary("Take a stored encounter back, with If-Match: everything is marked as entered in error, nothing is deleted, nothing follows. A repeat gets the same receipt.")
            .Produces<RetractionReceipt>()
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status409Conflict)
            .ProducesProblem(StatusCodes.Status412PreconditionFailed)
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity)
            .ProducesProblem(StatusCodes.Status428PreconditionRequired)
            .ProducesProblem(StatusCodes.Status503ServiceUnavailable);
        encounters.MapGet("/{id:guid}", GetAsync)
            .WithSummary("The newest receipt of an encounter; that of the retraction once it is retracted.")
            .Produces<Receipt>()
            .ProducesProblem(StatusCodes.Status404NotFound);
        encounters.MapGet("", ListAsync)
            .WithSummary("The caller's own encounters by time of change, for reconciling.")
            .Produces<EncounterList>();
    }

    private static async Task<IResult> PostAsync(HttpContext context, EncounterIntake intake, IOptions<GatewayOptions> gateway)
    {
        var outcome = await intake.AcceptAsync(await BodyAsync(context), context.TraceIdentifier, context.RequestAborted);
        return Answer(context, outcome, gateway.Value, isCreation: true);
    }

    private static async Task<IResult> PreviewAsync(HttpContext context, EncounterIntake intake) =>
        await intake.PreviewAsync(await BodyAsync(context), context.RequestAborted) switch
        {
            (Receipt receipt, _) => Results.Ok(receipt),
            (null, { } outcome) => Refusal(context, outcome),
            _ => throw new InvalidOperationException("A preview has a receipt or an outcome."),
        };

    private static async Task<IResult> PutAsync(Guid id, HttpContext context, EncounterIntake intake, EncounterStore store, IOptions<GatewayOptions> gateway, [FromHeader(Name = "If-Match")] string? ifMatch)
    {
        if (await store.FindAsync(Callers.Clinic(context), id, context.RequestAborted) is not { } current)
        {
            return IntakeProblem.NotFound();
        }

        var document = await BodyAsync(context);
        if (current.IsRetracted)
        {
            return Refusal(context, await intake.CorrectAsync(current, document, context.TraceIdentifier, context.RequestAborted));
        }

        if (ifMatch is null)
        {
            return IntakeProblem.NeedsIfMatch(intake.Provisional(document));
        }

        if (ifMatch != Tag(current.Revision))
        {
            return IntakeProblem.Stale(current.Revision, intake.Provisional(document));
        }

        var outcome = await intake.CorrectAsync(current, document, context.TraceIdentifier, context.RequestAborted);
        return Answer(context, outcome, gateway.Value, isCreation: false);
    }

    private static async Task<IResult> AnswerAsync(Guid id, Answers answers, HttpContext context, EncounterIntake intake, DocumentReader reader, EncounterStore store, IOptions<GatewayOptions> gateway)
    {
        if (await store.FindAsync(Callers.Clinic(context), id, context.RequestAborted) is not { } current)
        {
            return IntakeProblem.NotFound();
        }

        if (current.IsRetracted)
        {
            return IntakeProblem.Retracted(null);
        }

        var (document, problems) = answers.WriteInto(current.Raw.Span, reader.Read(current.Raw).Document.Span, current.Revision);
        return problems.Count > 0
            ? IntakeProblem.Refused(problems, null)
            : Answer(context, await intake.CorrectAsync(current, document, context.TraceIdentifier, context.RequestAborted), gateway.Value, isCreation: false);
    }

    private static async Task<IResult> DecideAsync(
        Guid id, ClinicianDecision decision, HttpContext context, EncounterIntake intake, EncounterStore store, IOptions<GatewayOptions> gateway, [FromHeader(Name = "If-Match")] string? ifMatch)
    {
        if (await store.FindAsync(Callers.Clinic(context), id, context.RequestAborted) is not { } current)
        {
            return IntakeProblem.NotFound();
        }

        if (decision.Problems() is { Count: > 0 } problems)
        {
            return IntakeProblem.Refused(problems, null);
        }

        if (current.IsRetracted)
        {
            return IntakeProblem.Retracted(null);
        }

        if (ifMatch is null)
        {
            return IntakeProblem.NeedsIfMatch(null);
        }

        if (ifMatch == Tag(current.Revision))
        {
            return Answer(context, await intake.DecideAsync(current, decision, context.TraceIdentifier, context.RequestAborted), gateway.Value, isCreation: false);
        }

        // A repeat carries the ETag of then; it is known by what it made of that revision.
        var revisions = await store.RevisionsAsync(Callers.Clinic(context), id, context.RequestAborted);
        var repeated = revisions.Zip(revisions.Skip(1)).FirstOrDefault(pair => ifMatch == Tag(pair.First.Revision));
        return repeated is ({ } before, { } after) && CanonicalJson.Hash(decision.WriteInto(before.Raw.Span, before.Revision)) == after.ContentSha256
            ? Answer(context, new IntakeOutcome.StoredBefore(id, after.Revision, after.Receipt.ToArray()), gateway.Value, isCreation: false)
            : IntakeProblem.Stale(current.Revision, null);
    }

    private static async Task<IResult> DecisionsAsync(Guid id, HttpContext context, EncounterStore store)
    {
        // Whoever may not read the newest revision may read none.
        if (await store.FindAsync(Callers.Clinic(context), id, context.RequestAborted) is not { } current)
        {
            return IntakeProblem.NotFound();
        }

        context.Response.Headers.ETag = Tag(current.Revision);
        return Results.Ok(DecisionHistory.Of(await store.RevisionsAsync(Callers.Clinic(context), id, context.RequestAborted)));
    }

    private static async Task<IResult> RetractAsync(
        Guid id, Retraction retraction, HttpContext context, EncounterRetraction retractions, EncounterStore store, IOptions<GatewayOptions> gateway, [FromHeader(Name = "If-Match")] string? ifMatch)
    {
        if (await store.FindAsync(Callers.Clinic(context), id, context.RequestAborted) is not { } current)
        {
            return IntakeProblem.NotFound();
        }

        if (retraction.Problems() is { Count: > 0 } problems)
        {
            return IntakeProblem.Refused(problems, null);
        }

        // A repeat carries the ETag of then; it is known by its content.
        if (current.IsRetracted)
        {
            return current.ContentSha256 == EncounterRetraction.Hash(retraction)
                ? Answer(context, new IntakeOutcome.StoredBefore(id, current.Revision, current.Receipt.ToArray()), gateway.Value, isCreation: false)
                : IntakeProblem.Retracted(null);
        }

        return ifMatch switch
        {
            null => IntakeProblem.NeedsIfMatch(null),
            _ when ifMatch != Tag(current.Revision) => IntakeProblem.Stale(current.Revision, null),
            _ => Answer(context, await retractions.RetractAsync(current, retraction, context.TraceIdentifier, context.RequestAborted), gateway.Value, isCreation: false),
        };
    }

    private static async Task<IResult> GetAsync(Guid id, HttpContext context, EncounterStore store)
    {
        if (await store.FindAsync(Callers.Clinic(context), id, context.RequestAborted) is not { } found)
        {
            return IntakeProblem.NotFound();
        }

        context.Response.Headers.ETag = Tag(found.Revision);
        return Results.Bytes(found.Receipt, Json);
    }

    private static async Task<IResult> ListAsync(HttpContext context, EncounterStore store, string? cursor, int? count)
    {
        var page = await store.ListAsync(Callers.Clinic(context), cursor, Math.Clamp(count ?? 50, 1, 200), context.RequestAborted);
        return Results.Ok(new EncounterList(
            [.. page.Items.Select(item => new EncounterListItem(item.EncounterKey, item.ClinicEncounterId, item.Revision, item.State, item.Tier, item.Late, item.EvaluatedAt, item.ReceivedAt))],
            page.Next));
    }

    private static IResult Answer(HttpContext context, IntakeOutcome outcome, GatewayOptions gateway, bool isCreation)
    {
        switch (outcome)
        {
            case IntakeOutcome.Stored stored:
                context.Response.Headers.ETag = Tag(stored.Revision);
                context.Response.Headers.Location = new Uri(gateway.PublicBaseUrl, $"encounters/{stored.Key}").ToString();
                context.Response.StatusCode = isCreation ? StatusCodes.Status201Created : StatusCodes.Status200OK;
                return new StoredReceipt(stored.Receipt);
            case IntakeOutcome.StoredBefore before:
                context.Response.Headers.ETag = Tag(before.Revision);
                return new StoredReceipt(before.Receipt);
            default:
                return Refusal(context, outcome);
        }
    }

    private static IResult Refusal(HttpContext context, IntakeOutcome outcome) => outcome switch
    {
        IntakeOutcome.Refused refused => IntakeProblem.Refused(refused.Problems, refused.Provisional),
        IntakeOutcome.UnknownClinic unknown => IntakeProblem.UnknownClinic(unknown.Provisional),
        IntakeOutcome.ContentDiffers differs => IntakeProblem.ContentDiffers(differs.Provisional),
        IntakeOutcome.RevisionGap gap => IntakeProblem.RevisionGap(gap.Expected, gap.Provisional),
        IntakeOutcome.RevisionBehind behind => IntakeProblem.RevisionBehind(behind.Newest, behind.Provisional),
        IntakeOutcome.Retracted retracted => IntakeProblem.Retracted(retracted.Provisional),
        IntakeOutcome.ChangedMeanwhile => IntakeProblem.ChangedMeanwhile(),
        IntakeOutcome.NotReady notReady => IntakeProblem.NotReady(context, notReady.Why),
        _ => throw new InvalidOperationException($"{outcome.GetType().Name} is not a refusal."),
    };

    private static async Task<byte[]> BodyAsync(HttpContext context)
    {
        using var memory = new MemoryStream();
        await context.Request.Body.CopyToAsync(memory, context.RequestAborted);
        return memory.ToArray();
    }

    private static string Tag(int revision) => string.Create(CultureInfo.InvariantCulture, $"\"{revision}\"");

    /// <summary>The receipt as it was stored, byte for byte.</summary>
    private sealed class StoredReceipt(byte[] receipt) : IResult
    {
        public Task ExecuteAsync(HttpContext httpContext)
        {
            httpContext.Response.ContentType = Json;
            httpContext.Response.ContentLength = receipt.Length;
            return httpContext.Response.Body.WriteAsync(receipt, httpContext.RequestAborted).AsTask();
        }
    }
}

internal sealed record EncounterList(IReadOnlyList<EncounterListItem> Items, string? Next);

internal sealed record EncounterListItem(Guid Id, string EncounterId, int Revision, string State, string Tier, bool Late, DateTimeOffset EvaluatedAt, DateTimeOffset ReceivedAt);
