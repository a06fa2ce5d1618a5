namespace EarReferral.Testing;

/// <summary>Where the working copy is, so that tests read profiles and examples as they are committed.</summary>
public static class Repository
{
    /// <summary>Folder that holds EarReferral.sln.</summary>
    public static string Root { get; } = Find();

    /// <summary>Path of a file or folder below the root.</summary>
    public static string At(params string[] parts) => Path.Combine([Root, .. parts]);

    private static string Find()
    {
        for (var folder = new DirectoryInfo(AppContext.BaseDirectory); folder is not null; folder = folder.Parent)
        {
            if (File.Exists(Path.Combine(folder.FullName, "EarReferral.sln")))
            {
                return folder.FullName;
            }
        }

        throw new DirectoryNotFoundException("No folder above the test output holds EarReferral.sln.");
    }
}
