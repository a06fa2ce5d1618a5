using EarReferral.Storage;

namespace EarReferral.Gateway.Security;

/// <summary>A client as it is registered.</summary>
/// <param name="Id">Client id.</param>
/// <param name="Kind">One kind.</param>
/// <param name="Reach">Whose data it may see, by its registration and never by its request.</param>
/// <param name="Scopes">What it may ask for.</param>
/// <param name="KeysFile">File with its public keys.</param>
internal sealed record RegisteredClient(string Id, CallerKinds Kind, Reach Reach, ScopeSet Scopes, string KeysFile)
{
    private static readonly Dictionary<string, CallerKinds> Kinds = new(StringComparer.Ordinal)
    {
        ["clinic"] = CallerKinds.Clinic,
        ["gpPractice"] = CallerKinds.GpPractice,
        ["ent"] = CallerKinds.Ent,
        ["operator"] = CallerKinds.Operator,
        ["boardUser"] = CallerKinds.BoardUser,
    };

    /// <summary>Reads an entry of the configuration.</summary>
    /// <exception cref="Microsoft.Extensions.Options.OptionsValidationException">It is not complete.</exception>
    public static RegisteredClient Read(string id, ClientOptions options)
    {
        var problems = new List<string>();
        var kind = Kinds.GetValueOrDefault(options.Kind ?? "");
        var scopes = ScopeSet.Of(options.Scopes);
        if (kind == CallerKinds.None)
        {
            problems.Add($"Security:Clients:{id}:Kind is one of {string.Join(", ", Kinds.Keys)}.");
        }

        if (string.IsNullOrWhiteSpace(options.Of) != (kind == CallerKinds.Operator))
        {
            problems.Add($"Security:Clients:{id}:Of names the clinic, the practice by ODS code, or the destination; an operator has none.");
        }

        if (string.IsNullOrWhiteSpace(options.Scopes) || scopes.NotKnown.Count > 0)
        {
            problems.Add($"Security:Clients:{id}:Scopes names scopes of SMART 2 (letters in the order cruds) or of this gateway; not known: {string.Join(' ', scopes.NotKnown)}.");
        }

        if (options.KeysFile is null || !File.Exists(options.KeysFile))
        {
            problems.Add($"Security:Clients:{id}:KeysFile names no file.");
        }

        if (problems.Count > 0)
        {
            throw new Microsoft.Extensions.Options.OptionsValidationException(SecurityOptions.Section, typeof(SecurityOptions), problems);
        }

        Reach reach = kind switch
        {
            CallerKinds.Clinic or CallerKinds.BoardUser => new Reach.Clinic(options.Of!),
            CallerKinds.GpPractice => new Reach.Practice(options.Of!),
            CallerKinds.Ent => new Reach.Destination(options.Of!),
            _ => new Reach.Everything($"operator {id}"),
        };
        return new RegisteredClient(id, kind, reach, scopes, options.KeysFile!);
    }
}
