namespace EarReferral.Storage;

/// <summary>Whose data a caller may see. Every read names one; there is no read without.</summary>
public abstract record Reach
{
    private Reach()
    {
    }

    /// <summary>A clinic sees what it sent itself.</summary>
    /// <param name="ClinicId">Id of the clinic, as the client registration says it; never taken from a request.</param>
    public sealed record Clinic(string ClinicId) : Reach;

    /// <summary>A GP practice sees what the clinics recorded for the patients registered there.</summary>
    /// <param name="OdsCode">ODS code of the practice, as the client registration says it.</param>
    public sealed record Practice(string OdsCode) : Reach;

    /// <summary>A receiving system sees the referrals addressed to it.</summary>
    /// <param name="Name">Name of the destination in the configuration.</param>
    public sealed record Destination(string Name) : Reach;

    /// <summary>No boundary: background work, operators, export.</summary>
    /// <param name="Purpose">Why no boundary applies; written into audit rows.</param>
    public sealed record Everything(string Purpose) : Reach;
}
