using System.ComponentModel.DataAnnotations;

namespace EarReferral.Gateway.Configuration;

/// <summary>Section <c>Gateway</c>.</summary>
internal sealed class GatewayOptions
{
    public const string Section = "Gateway";

    /// <summary>Base of every URL that the gateway hands out; never taken from a request's Host header.</summary>
    [Required]
    public required Uri PublicBaseUrl { get; set; }

    /// <summary>Accept NHS numbers of the test range 999; off unless this is a demo or a test system.</summary>
    public bool AllowTestNhsNumbers { get; set; }

    /// <summary>Working days within which the system of a practice should have fetched a summary that asks for something, where no tier is quicker; 3 unless said otherwise (our own proposal).</summary>
    [Range(1, 20)]
    public int GpActionWorkingDays { get; set; } = 3;

    /// <summary>Working days within which a summary that nobody can fetch and that asks for nothing should be handed over; 5 unless said otherwise (our own proposal).</summary>
    [Range(1, 40)]
    public int HandOverWorkingDays { get; set; } = 5;
}

/// <summary>One entry of section <c>Clinics</c>: a clinic whose encounters are accepted.</summary>
internal sealed class ClinicOptions
{
    public const string Section = "Clinics";

    /// <summary>Name as it appears on letters.</summary>
    [Required]
    public required string Name { get; set; }

    /// <summary>Destination of referrals to ENT, by name.</summary>
    [Required]
    public required string EntDestination { get; set; }

    /// <summary>Folder with the clinic's own ConceptMaps, one file per list of the contract; null when it posts the contract's codes.</summary>
    public string? Vocabulary { get; set; }

    /// <summary>Telephone numbers by kind of receiver that rules name: <c>emergency</c>, <c>gp</c>, <c>crisis-team</c>, <c>audiology</c>.</summary>
    public Dictionary<string, string> Phones { get; } = new(StringComparer.Ordinal);
}
