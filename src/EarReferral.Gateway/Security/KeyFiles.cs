using System.Security.Cryptography;

namespace EarReferral.Gateway.Security;

/// <summary>Private keys in files: made with an owner's mode, refused when others can read or write them.</summary>
internal static class KeyFiles
{
    private const UnixFileMode OwnerOnly = UnixFileMode.UserRead | UnixFileMode.UserWrite;
    private const UnixFileMode Others = UnixFileMode.GroupRead | UnixFileMode.GroupWrite | UnixFileMode.GroupExecute | UnixFileMode.OtherRead | UnixFileMode.OtherWrite | UnixFileMode.OtherExecute;

    /// <summary>Says why a key file is not used; null when it may be.</summary>
    public static string? Refusal(string path)
    {
        if (!File.Exists(path))
        {
            return $"There is no key file {path}.";
        }

        return !OperatingSystem.IsWindows() && (File.GetUnixFileMode(path) & Others) != 0
            ? $"The key file {path} can be read or written by others than its owner; give it mode 0600."
            : null;
    }

    /// <summary>Reads the P-384 key of a PEM file.</summary>
    /// <exception cref="CryptographicException">It holds no such key.</exception>
    public static ECDsa Read(string path)
    {
        var key = ECDsa.Create();
        key.ImportFromPem(File.ReadAllText(path));
        return key.KeySize == 384 ? key : throw new CryptographicException($"The key in {path} is not of curve P-384.");
    }

    /// <summary>Makes a P-384 key in a PEM file unless there is one.</summary>
    public static void Make(string path)
    {
        if (File.Exists(path))
        {
            return;
        }

        using var key = ECDsa.Create(ECCurve.NamedCurves.nistP384);
        Write(path, key.ExportPkcs8PrivateKeyPem());
    }

    /// <summary>Writes a file that its owner alone can read.</summary>
    public static void Write(string path, string text)
    {
        var folder = Path.GetDirectoryName(path)!;
        _ = OperatingSystem.IsWindows() ? Directory.CreateDirectory(folder) : Directory.CreateDirectory(folder, OwnerOnly | UnixFileMode.UserExecute);
        var options = new FileStreamOptions { Mode = FileMode.CreateNew, Access = FileAccess.Write };
        if (!OperatingSystem.IsWindows())
        {
            options.UnixCreateMode = OwnerOnly;
        }

        using var writer = new StreamWriter(path, options);
        writer.Write(text);
    }
}
