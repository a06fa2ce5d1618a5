using System.Security.Cryptography;
using EarReferral.Gateway.Security;
using Microsoft.AspNetCore.DataProtection;
using Microsoft.Net.Http.Headers;

namespace EarReferral.Gateway.Pages;

/// <summary>Registers and maps the pages that people work in.</summary>
internal static class DeskStart
{
    private static readonly Dictionary<string, (byte[] Bytes, string Type, string Tag)> Assets = new[] { ("desk.css", "text/css; charset=utf-8"), ("desk.js", "text/javascript; charset=utf-8") }
        .ToDictionary(asset => asset.Item1, asset => Read(asset.Item1, asset.Item2), StringComparer.Ordinal);

    /// <summary>Adds what the pages need.</summary>
    /// <param name="services">Where to.</param>
    /// <param name="dataFolder">Folder that keeps the keys by which a form is known as ours.</param>
    public static void AddDesk(this IServiceCollection services, string dataFolder)
    {
        var keys = Directory.CreateDirectory(Path.Combine(dataFolder, "form-keys"));
        if (!OperatingSystem.IsWindows())
        {
            keys.UnixFileMode = UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute;
        }

        services.AddDataProtection().SetApplicationName("ear-referral").PersistKeysToFileSystem(keys);
        services.AddAntiforgery(forms =>
        {
            forms.Cookie.Name = "ear-referral-form";
            forms.Cookie.SameSite = Microsoft.AspNetCore.Http.SameSiteMode.Strict;
            forms.Cookie.HttpOnly = true;
            // The page says what it allows; the framework's own header would come twice.
            forms.SuppressXFrameOptionsHeader = true;
        });
        services.AddHttpContextAccessor();
        services.AddRazorPages();
        services.AddScoped<Desk.PageAudit>();
        services.AddScoped<Desk.DeskReach>();
        services.AddScoped<Desk.ReportRequest>();
    }

    /// <summary>Maps pages and assets.</summary>
    public static void MapDesk(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/", () => Results.Redirect("/desk/referrals")).WithMetadata(RouteRule.Open).ExcludeFromDescription();
        routes.MapGet("/desk/assets/{name}", Asset).WithMetadata(RouteRule.Open).ExcludeFromDescription();
        routes.MapRazorPages().WithMetadata(RouteRule.People);
    }

    private static IResult Asset(string name, HttpContext context)
    {
        if (!Assets.TryGetValue(name, out var asset))
        {
            return Results.NotFound();
        }

        context.Response.Headers.CacheControl = "no-cache";
        return Results.Bytes(asset.Bytes, asset.Type, entityTag: new EntityTagHeaderValue(asset.Tag));
    }

    private static (byte[] Bytes, string Type, string Tag) Read(string name, string type)
    {
        using var stream = typeof(DeskStart).Assembly.GetManifestResourceStream($"assets/{name}")!;
        using var memory = new MemoryStream();
        stream.CopyTo(memory);
        var bytes = memory.ToArray();
        return (bytes, type, $"\"{Convert.ToHexStringLower(SHA256.HashData(bytes))[..16]}\"");
    }
}
