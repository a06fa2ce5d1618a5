using EarReferral.Gateway.Security.Tokens;
using EarReferral.Storage;

namespace EarReferral.Gateway.Security;

/// <summary>Registration of everything that decides who may do what.</summary>
internal static class SecurityServices
{
    /// <summary>Checks the settings and adds the services.</summary>
    /// <exception cref="Microsoft.Extensions.Options.OptionsValidationException">A setting forbids the start.</exception>
    public static void AddSecurity(this WebApplicationBuilder builder, StorageOptions storage, string url, string dataFolder)
    {
        var security = builder.Configuration.GetSection(SecurityOptions.Section).Get<SecurityOptions>() ?? new SecurityOptions();
        var isDevelopment = builder.Environment.IsDevelopment();
        SecuritySettings.Check(security, url, builder.Configuration.GetValue<Uri>("Gateway:PublicBaseUrl") ?? new Uri(url), isDevelopment);
        var keyFile = security.SigningKeyFile ?? SecuritySettings.DefaultKey(dataFolder);
        if (isDevelopment)
        {
            KeyFiles.Make(keyFile);
        }

        builder.Services.AddOptions<SecurityOptions>().BindConfiguration(SecurityOptions.Section);
        builder.Services.AddAccessStorage(storage);
        builder.Services.AddTokens(keyFile);
        builder.Services.AddScoped<People.ISignedInPerson, People.LocalPerson>();
        builder.Services.AddRateLimits();
        builder.Services.AddHostedService<AccessStart>();
        builder.Services.AddHostedService<AuditSealer>();
    }
}
