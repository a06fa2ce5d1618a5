using System.Security.Cryptography;
using System.Text;
using EarReferral.Delivery;
using EarReferral.Gateway.Fhir;
using Hl7.Fhir.Model;
using Microsoft.Extensions.Options;
using IssueType = Hl7.Fhir.Model.OperationOutcome.IssueType;

namespace EarReferral.Gateway.Referrals;

/// <summary>Takes the notifications of a receiver's R4 Subscription of type rest-hook.</summary>
/// <remarks>
/// Source: FHIR R4 Subscription (rest-hook: an empty POST) and the Subscriptions R5 Backport guide for R4 (a Bundle of type history whose
/// first entry is a Parameters with the type of the notification). Whatever it carries, it only makes us ask; see <see cref="TaskReconciliation"/>.
/// </remarks>
internal static class NotificationEndpoint
{
    private const int Largest = 1 << 20;

    /// <summary>Maps the address.</summary>
    public static void MapNotifications(this IEndpointRouteBuilder routes) =>
        routes.MapPost("/notifications/{destination}", PostAsync)
            .WithTags("Notifications")
            .WithSummary("A notification of a receiver's Subscription, with Authorization: Bearer and the secret agreed with it. Handshakes and heartbeats are answered 200; an event makes the gateway ask the receiver about its open referrals.")
            .Produces(StatusCodes.Status200OK)
            .ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status401Unauthorized);

    private static async System.Threading.Tasks.Task<IResult> PostAsync(string destination, HttpContext context, TaskReconciliation reconciliation, IOptions<DeliveryOptions> delivery, ILogger<TaskReconciliation> logger)
    {
        if (delivery.Value.Destinations.GetValueOrDefault(destination)?.NotificationSecretFile is not { } file || !await KnowsAsync(context, file))
        {
            return FhirResult.Error(StatusCodes.Status401Unauthorized, IssueType.Login, "The secret of this receiver is missing or wrong.");
        }

        using var memory = new MemoryStream();
        await context.Request.Body.CopyToAsync(memory, context.RequestAborted);
        if (memory.Length > Largest)
        {
            return FhirResult.Error(StatusCodes.Status413PayloadTooLarge, IssueType.TooLong, "A notification is at most 1 MiB.");
        }

        if (memory.Length == 0)
        {
            return Rung(destination, "event-notification", reconciliation, logger);
        }

        var read = FhirBody.Read(context.Request.ContentType, memory.ToArray());
        if (read.Resource is not Bundle { Type: Bundle.BundleType.History } bundle || bundle.Entry.FirstOrDefault()?.Resource is not Parameters status)
        {
            return FhirResult.Error(StatusCodes.Status400BadRequest, IssueType.Structure, "A notification is an empty body, or a Bundle of type history that begins with a Parameters.");
        }

        var type = (status.Parameter.FirstOrDefault(parameter => parameter.Name == "type")?.Value as Code)?.Value ?? "event-notification";
        return type is "handshake" or "heartbeat" ? Results.Ok() : Rung(destination, type, reconciliation, logger);
    }

    private static IResult Rung(string destination, string type, TaskReconciliation reconciliation, ILogger logger)
    {
        reconciliation.Ring(destination);
        Log.Notified(logger, destination, type is "event-notification" or "query-status" or "query-event" ? type : "other");
        return Results.Ok();
    }

    /// <summary>Compares in constant time; the file is read each time, so that a changed secret needs no restart.</summary>
    private static async Task<bool> KnowsAsync(HttpContext context, string file)
    {
        const string Scheme = "Bearer ";
        var given = context.Request.Headers.Authorization.ToString();
        return File.Exists(file) && given.StartsWith(Scheme, StringComparison.OrdinalIgnoreCase)
            && (await File.ReadAllTextAsync(file, context.RequestAborted)).Trim() is { Length: >= 32 } secret
            && CryptographicOperations.FixedTimeEquals(SHA256.HashData(Encoding.UTF8.GetBytes(given[Scheme.Length..])), SHA256.HashData(Encoding.UTF8.GetBytes(secret)));
    }
}
