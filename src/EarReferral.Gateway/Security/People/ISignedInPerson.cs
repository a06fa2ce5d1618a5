namespace EarReferral.Gateway.Security.People;

/// <summary>The person who looks at a page.</summary>
internal interface ISignedInPerson
{
    /// <summary>Name as it is written into timelines; null where nobody signed in and the form asks for it.</summary>
    string? Name { get; }

    /// <summary>Roles, from <see cref="PersonRole"/>.</summary>
    IReadOnlySet<string> Roles { get; }
}
