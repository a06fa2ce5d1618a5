using Microsoft.AspNetCore.Mvc;

namespace EarReferral.Gateway.Pages.Desk;

/// <summary>403 in words: the page is for other roles.</summary>
internal sealed class ForbiddenPage : ViewResult
{
    /// <inheritdoc />
    public override Task ExecuteResultAsync(ActionContext context)
    {
        ArgumentNullException.ThrowIfNull(context);
        var response = context.HttpContext.Response;
        response.StatusCode = StatusCodes.Status403Forbidden;
        response.ContentType = "text/html; charset=utf-8";
        return response.WriteAsync(
            """
            <!DOCTYPE html><html lang="en-GB"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>Not for your role</title><link rel="stylesheet" href="/desk/assets/desk.css"></head>
            <body><main id="main"><h1>Not for your role</h1><p>This page or act is for people with another role. Nothing was changed. In an emergency do not wait: telephone.</p><p><a href="/desk/referrals">To the open referrals</a></p></main></body></html>
            """,
            context.HttpContext.RequestAborted);
    }
}
