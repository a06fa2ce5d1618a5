namespace EarReferral.Delivery.Alarms;

/// <summary>Reads a secret from a file, so that it stands in no configuration that is printed or copied.</summary>
internal static class Secrets
{
    /// <summary>The secret; null when there is none or the file cannot be read.</summary>
    public static string? Read(string? value, string? file)
    {
        if (file is null)
        {
            return value;
        }

        try
        {
            return File.ReadAllText(file).Trim();
        }
        catch (Exception unreadable) when (unreadable is IOException or UnauthorizedAccessException)
        {
            return null;
        }
    }
}
