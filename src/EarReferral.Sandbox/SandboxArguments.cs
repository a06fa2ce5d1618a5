using System.Globalization;

namespace EarReferral.Sandbox;

/// <summary>Reads the command line.</summary>
internal static class SandboxArguments
{
    public const string Usage =
        "Usage: EarReferral.Sandbox [--urls http://127.0.0.1:5090] [--data FOLDER] [--callback http://127.0.0.1:5080/fhir] "
        + "[--acknowledge-after 1s|never] [--accept-after 3s|never] [--create-gap 50ms|never] [--updates yes|no]";

    public static (SandboxOptions? Options, IReadOnlyList<string> Problems) Parse(IReadOnlyList<string> arguments)
    {
        var options = new SandboxOptions([new Uri("http://127.0.0.1:5090")], "data/sandbox", null, TimeSpan.FromSeconds(1), TimeSpan.FromSeconds(3));
        var problems = new List<string>();
        for (var at = 0; at < arguments.Count; at += 2)
        {
            if (at + 1 == arguments.Count)
            {
                problems.Add($"{arguments[at]} needs a value.");
                break;
            }

            options = Apply(options, arguments[at], arguments[at + 1], problems);
        }

        return problems.Count == 0 ? (options, []) : (null, problems);
    }

    private static SandboxOptions Apply(SandboxOptions options, string name, string value, List<string> problems)
    {
        switch (name)
        {
            case "--urls":
                return options with { Urls = Urls(value, problems) };
            case "--data":
                return options with { DataFolder = value };
            case "--callback":
                return options with { Callback = Url(value, problems) };
            case "--acknowledge-after":
                return options with { AcknowledgeAfter = Duration(name, value, problems) };
            case "--accept-after":
                return options with { AcceptAfter = Duration(name, value, problems) };
            case "--create-gap":
                return options with { CreateGap = Duration(name, value, problems) };
            case "--updates" when value is "yes" or "no":
                return options with { Updates = value == "yes" };
            case "--updates":
                problems.Add("--updates takes yes or no.");
                return options;
            default:
                problems.Add($"{name} is not an option.");
                return options;
        }
    }

    private static List<Uri> Urls(string value, List<string> problems)
    {
        var urls = new List<Uri>();
        foreach (var part in value.Split(';', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries))
        {
            if (Url(part, problems) is not { } url)
            {
                continue;
            }

            // The receiver takes anybody's referral without asking who it is, so it must not be reachable from elsewhere.
            if (!url.IsLoopback)
            {
                problems.Add($"{part} is not a loopback address; the sandbox listens on this computer only.");
            }

            urls.Add(url);
        }

        return urls;
    }

    private static Uri? Url(string value, List<string> problems)
    {
        if (Uri.TryCreate(value, UriKind.Absolute, out var url) && url.Scheme is "http" or "https")
        {
            return url;
        }

        problems.Add($"{value} is not an http address.");
        return null;
    }

    private static TimeSpan? Duration(string name, string value, List<string> problems)
    {
        if (value == "never")
        {
            return null;
        }

        (string Unit, double Milliseconds)[] units = [("ms", 1), ("s", 1_000), ("m", 60_000)];
        foreach (var (unit, milliseconds) in units)
        {
            if (value.EndsWith(unit, StringComparison.Ordinal)
                && int.TryParse(value[..^unit.Length], NumberStyles.None, CultureInfo.InvariantCulture, out var number))
            {
                return TimeSpan.FromMilliseconds(number * milliseconds);
            }
        }

        problems.Add($"{name} takes a whole number with ms, s or m, or never.");
        return null;
    }
}
