using EarReferral.Storage.Security;
using OpenIddict.Abstractions;

namespace EarReferral.Gateway.Security;

/// <summary>Brings the tables of the token server up to date and enters the registered clients into them; whoever is no longer registered is taken out.</summary>
internal sealed class AccessStart(AccessStore access, ClientRegistry clients, IServiceScopeFactory scopes, ILogger<AccessStart> logger) : IHostedLifecycleService
{
    /// <inheritdoc />
    public async Task StartingAsync(CancellationToken cancellationToken)
    {
        await access.MigrateAsync(cancellationToken);
        await using var scope = scopes.CreateAsyncScope();
        var applications = scope.ServiceProvider.GetRequiredService<IOpenIddictApplicationManager>();
        var known = new HashSet<string>(StringComparer.Ordinal);
        var gone = new List<object>();
        await foreach (var application in applications.ListAsync(cancellationToken: cancellationToken))
        {
            var id = await applications.GetClientIdAsync(application, cancellationToken);
            if (clients.Find(id) is null)
            {
                gone.Add(application);
            }
            else
            {
                known.Add(id!);
            }
        }

        foreach (var application in gone)
        {
            await applications.DeleteAsync(application, cancellationToken);
        }

        foreach (var client in clients.All.Where(client => !known.Contains(client.Id)))
        {
            await RegisterAsync(applications, client, cancellationToken);
        }

        Log.ClientsRegistered(logger, clients.All.Count(), gone.Count);
    }

    /// <inheritdoc />
    public Task StartAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    /// <inheritdoc />
    public Task StartedAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    /// <inheritdoc />
    public Task StoppingAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    /// <inheritdoc />
    public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    /// <inheritdoc />
    public Task StoppedAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    private async Task RegisterAsync(IOpenIddictApplicationManager applications, RegisteredClient client, CancellationToken stop)
    {
        try
        {
            await applications.CreateAsync(Descriptor(client), stop);
        }
        catch (Exception raced) when (raced is Microsoft.EntityFrameworkCore.DbUpdateException or OpenIddictExceptions.ConcurrencyException or OpenIddictExceptions.ValidationException)
        {
            // Another instance that starts at the same time was first; anything else is told.
            await using var scope = scopes.CreateAsyncScope();
            if (await scope.ServiceProvider.GetRequiredService<IOpenIddictApplicationManager>().FindByClientIdAsync(client.Id, stop) is null)
            {
                throw;
            }
        }
    }

    private OpenIddictApplicationDescriptor Descriptor(RegisteredClient client)
    {
        var descriptor = new OpenIddictApplicationDescriptor
        {
            ClientId = client.Id,
            ClientType = OpenIddictConstants.ClientTypes.Confidential,
            // That it has keys makes it a client with an assertion; which one counts is read from its file at each use.
            JsonWebKeySet = clients.Keys(client),
        };
        descriptor.Permissions.UnionWith([OpenIddictConstants.Permissions.Endpoints.Token, OpenIddictConstants.Permissions.GrantTypes.ClientCredentials]);
        return descriptor;
    }
}
