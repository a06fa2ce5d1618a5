namespace EarReferral.Storage.Schema.Rows;

/// <summary>A row that belongs to a clinic and, where the patient is registered, to a GP practice.</summary>
internal interface IReachable
{
    string ClinicId { get; }

    string? PracticeOds { get; }
}

/// <summary>A row that may also be addressed to a receiving system.</summary>
internal interface IAddressed : IReachable
{
    string? Destination { get; }
}
