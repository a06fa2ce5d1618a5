using System.Globalization;
using EarReferral.Storage;
using EarReferral.Triage.Rules;

namespace EarReferral.Gateway.Rules;

/// <summary>The addresses under which the active rule set is read and another is tried.</summary>
internal static class RuleEndpoints
{
    /// <summary>Maps the addresses.</summary>
    public static void MapRules(this IEndpointRouteBuilder routes)
    {
        var rules = routes.MapGroup("/rules").WithTags("Rules");
        rules.MapGet("", (RuleBook book) => Results.Ok(ActiveRules.Of(book)))
            .WithSummary("The rule set that decides now: version, hash, and every rule with its source.")
            .Produces<ActiveRules>();
        rules.MapGet("/comparison", CompareAsync)
            .WithSummary("What a candidate set (a folder below Rules:Candidates) would have decided about the stored encounters, under the local policy of this service unless policy=none. JSON, or text/csv or text/html by Accept. Changes nothing.")
            .Produces<ComparisonReport>()
            .ProducesProblem(StatusCodes.Status400BadRequest)
            .ProducesProblem(StatusCodes.Status404NotFound)
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
    }

    private static async Task<IResult> CompareAsync(HttpContext context, string with, string? since, string? policy, RuleComparison comparison, IConfiguration configuration)
    {
        DateOnly day = default;
        if (since is not null && !DateOnly.TryParseExact(since, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out day))
        {
            return Results.Problem(statusCode: StatusCodes.Status400BadRequest, title: "since is a date such as 2026-03-31.");
        }

        if (policy is not (null or "site" or "none"))
        {
            return Results.Problem(statusCode: StatusCodes.Status400BadRequest, title: "policy is site (the local policy of this service, as it decides now) or none.");
        }

        // Found among the folders that are there, never built from what the caller wrote.
        var folder = configuration["Rules:Candidates"] is { } candidates && Directory.Exists(candidates)
            ? Directory.EnumerateDirectories(candidates).SingleOrDefault(each => Path.GetFileName(each) == with)
            : null;
        if (folder is null)
        {
            return Results.Problem(statusCode: StatusCodes.Status404NotFound, title: "No candidate rule set of this name lies below Rules:Candidates.");
        }

        try
        {
            var report = await comparison.RunAsync(
                new Reach.Everything("rule comparison"),
                RuleFolder.LoadChecked(folder, policy != "none" && configuration["Rules:Overlay"] is { Length: > 0 } overlay ? overlay : null),
                since is null ? null : new DateTimeOffset(day.ToDateTime(TimeOnly.MinValue), TimeSpan.Zero),
                _ => { },
                context.RequestAborted);
            return context.Request.Headers.Accept.ToString() switch
            {
                "text/csv" => Results.Text(ComparisonText.Csv(report), "text/csv"),
                "text/html" => Results.Text(ComparisonText.Html(report), "text/html"),
                _ => Results.Ok(report),
            };
        }
        catch (InvalidRuleBookException unsound)
        {
            return Results.Problem(statusCode: StatusCodes.Status422UnprocessableEntity, title: "The candidate rule set is not sound.", detail: unsound.Message);
        }
    }
}
