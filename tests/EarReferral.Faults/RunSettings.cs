using System.Globalization;

namespace EarReferral.Faults;

/// <summary>What one run does.</summary>
internal sealed record RunSettings
{
    public const string Usage =
        "Usage: EarReferral.Faults [--encounters 2000] [--kills 20] [--instances 1] [--seed 1] [--rate 0.3] [--least 50] [--create-gap 50ms] [--suspensions 0] [--postgres CONNECTION] [--data FOLDER]";

    public int Encounters { get; init; } = 2000;

    public int Kills { get; init; } = 20;

    public int Instances { get; init; } = 1;

    public int Seed { get; init; } = 1;

    /// <summary>Share of the calls to the receiver that fail.</summary>
    public double Rate { get; init; } = 0.3;

    /// <summary>How often each kind of fault must have struck for the run to count.</summary>
    public int Least { get; init; } = 50;

    /// <summary>How long the receiver thinks between looking and creating, as it takes it; "never" makes them one step.</summary>
    public string CreateGap { get; init; } = "50ms";

    /// <summary>How often an instance that sends is stopped (SIGSTOP) past its lease and resumed; needs two instances.</summary>
    public int Suspensions { get; init; }

    /// <summary>A PostgreSQL server that may create databases; null for SQLite.</summary>
    public string? Postgres { get; init; }

    /// <summary>Folder for everything; null for one of its own that is removed after a good run.</summary>
    public string? Data { get; init; }

    public static RunSettings? Parse(IReadOnlyList<string> arguments)
    {
        var settings = new RunSettings();
        for (var at = 0; at < arguments.Count; at += 2)
        {
            if (at + 1 == arguments.Count)
            {
                return null;
            }

            var value = arguments[at + 1];
            var next = arguments[at] switch
            {
                "--encounters" => settings with { Encounters = Number(value) },
                "--kills" => settings with { Kills = Number(value) },
                "--instances" => settings with { Instances = Number(value) },
                "--seed" => settings with { Seed = Number(value) },
                "--least" => settings with { Least = Number(value) },
                "--rate" => settings with { Rate = double.Parse(value, CultureInfo.InvariantCulture) },
                "--create-gap" => settings with { CreateGap = value },
                "--suspensions" => settings with { Suspensions = Number(value) },
                "--postgres" => settings with { Postgres = value },
                "--data" => settings with { Data = value },
                _ => null,
            };
            if (next is null)
            {
                return null;
            }

            settings = next;
        }

        return settings is { Encounters: > 0, Kills: >= 0, Instances: > 0 } && (settings.Suspensions == 0 || settings is { Instances: > 1, Postgres: not null }) ? settings : null;
    }

    private static int Number(string value) => int.Parse(value, CultureInfo.InvariantCulture);
}
