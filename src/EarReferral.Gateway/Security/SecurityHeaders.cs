namespace EarReferral.Gateway.Security;

/// <summary>Headers of every answer. A page that shows more than this allows says so itself.</summary>
/// <remarks>Source: OWASP Application Security Verification Standard 4.0.3, 14.4.</remarks>
internal static class SecurityHeaders
{
    /// <summary>Adds them before anything is written.</summary>
    public static Task AddAsync(HttpContext context, RequestDelegate next)
    {
        var headers = context.Response.Headers;
        headers.CacheControl = "no-store";
        headers.XContentTypeOptions = "nosniff";
        headers.XFrameOptions = "DENY";
        headers["Referrer-Policy"] = "no-referrer";
        headers["Permissions-Policy"] = "camera=(), geolocation=(), microphone=()";
        headers["Cross-Origin-Resource-Policy"] = "same-origin";
        if (context.Request.Path.StartsWithSegments("/desk", StringComparison.Ordinal))
        {
            // Own styles, one own script that asks for the same page again, forms to ourselves; nothing inline, nothing from elsewhere.
            headers.ContentSecurityPolicy = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";
        }
        else if (!context.Request.Path.StartsWithSegments("/swagger", StringComparison.Ordinal))
        {
            headers.ContentSecurityPolicy = "default-src 'none'; frame-ancestors 'none'";
        }

        if (context.Request.IsHttps)
        {
            headers.StrictTransportSecurity = "max-age=31536000; includeSubDomains";
        }

        return next(context);
    }
}
