namespace EarReferral.Gateway.Security.People;

/// <summary>Whoever sits at a development machine: every role, and no name that anybody has proved.</summary>
internal sealed class LocalPerson : ISignedInPerson
{
    /// <inheritdoc />
    public string? Name => null;

    /// <inheritdoc />
    public IReadOnlySet<string> Roles => PersonRole.All;
}
