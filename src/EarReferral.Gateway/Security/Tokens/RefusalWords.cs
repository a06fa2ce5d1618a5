using OpenIddict.Abstractions;
using OpenIddict.Server;
using static OpenIddict.Server.OpenIddictServerEvents;

namespace EarReferral.Gateway.Security.Tokens;

/// <summary>
/// Every assertion that does not hold is answered <c>invalid_client</c> (SMART App Launch 2); the library calls some of them
/// <c>invalid_token</c> or <c>invalid_grant</c>. An answer that grants always says which scopes.
/// </summary>
internal sealed class RefusalWords : IOpenIddictServerHandler<ApplyTokenResponseContext>
{
    /// <summary>Runs before the status of the answer is chosen by its error.</summary>
    public static OpenIddictServerHandlerDescriptor Descriptor { get; } = OpenIddictServerHandlerDescriptor.CreateBuilder<ApplyTokenResponseContext>()
        .UseSingletonHandler<RefusalWords>()
        .SetOrder(int.MinValue + 1_000)
        .SetType(OpenIddictServerHandlerType.Custom)
        .Build();

    /// <inheritdoc />
    public ValueTask HandleAsync(ApplyTokenResponseContext context)
    {
        if (context.Response.Error is OpenIddictConstants.Errors.InvalidToken or OpenIddictConstants.Errors.InvalidGrant or OpenIddictConstants.Errors.InvalidClient)
        {
            // Why exactly is for the log of the server, not for who tries keys.
            context.Response.Error = OpenIddictConstants.Errors.InvalidClient;
            context.Response.ErrorDescription = "The client or its assertion is not accepted.";
            context.Response.ErrorUri = null;
        }

        return ValueTask.CompletedTask;
    }
}
