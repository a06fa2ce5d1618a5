namespace EarReferral.Journeys.Tests.Processes;

/// <summary>One gateway and receiver for all tests of a class.</summary>
public sealed class RunningWorld : IAsyncLifetime
{
    internal World World { get; private set; } = null!;

    /// <inheritdoc />
    public async ValueTask InitializeAsync() => World = await World.StartAsync(CancellationToken.None);

    /// <inheritdoc />
    public ValueTask DisposeAsync() => World.DisposeAsync();
}
