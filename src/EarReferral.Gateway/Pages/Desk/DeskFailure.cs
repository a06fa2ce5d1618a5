using System.Text.Encodings.Web;

namespace EarReferral.Gateway.Pages.Desk;

/// <summary>What a person reads in place of a page that cannot be shown.</summary>
internal static class DeskFailure
{
    /// <summary>True where a person looks, and not a program.</summary>
    public static bool Concerns(HttpContext context) => context.Request.Path.StartsWithSegments("/desk", StringComparison.Ordinal);

    /// <summary>Writes it, with the status that stands.</summary>
    public static Task WriteAsync(HttpContext context)
    {
        var (title, words) = context.Response.StatusCode switch
        {
            StatusCodes.Status404NotFound => ("Nothing is here", "There is no such page, or the referral is not within your reach."),
            StatusCodes.Status400BadRequest => ("The form was not accepted", "It was open for too long, or it came from elsewhere. Nothing was changed. Open the page again and repeat it."),
            StatusCodes.Status401Unauthorized => ("Not signed in", "These pages are open on a development machine only, until people can sign in here. Clinic software follows referrals by its own interface."),
            StatusCodes.Status403Forbidden => ("Not for programs", "These pages are for people. Software uses the interface that the documentation describes."),
            _ => ("The page could not be made", $"Whether anything was changed is not known: open the referral again and look. Give this number to the operator: {context.TraceIdentifier}."),
        };
        context.Response.ContentType = "text/html; charset=utf-8";
        return context.Response.WriteAsync(
            $"""
            <!DOCTYPE html><html lang="en-GB"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>{title}</title><link rel="stylesheet" href="/desk/assets/desk.css"></head>
            <body><main id="main"><h1>{title}</h1><p>{HtmlEncoder.Default.Encode(words)}</p><p>In an emergency do not wait: telephone.</p><p><a href="/desk/referrals">To the open referrals</a></p></main></body></html>
            """,
            context.RequestAborted);
    }
}
