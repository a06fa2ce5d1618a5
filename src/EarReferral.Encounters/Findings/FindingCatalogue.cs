namespace EarReferral.Encounters.Findings;

/// <summary>Every clinical fact that the contract can carry, one explicit row each; the row's code is the code of its Observation.</summary>
/// <remarks>Thresholds, deposits, steps, residuals and located signs are no rows: they are lists, and each has its own shape.</remarks>
public static class FindingCatalogue
{
    /// <summary>Facts of the whole patient.</summary>
    public static IReadOnlyList<Finding<ClinicEncounter>> Patient { get; } =
    [
        .. BackgroundFindings.Rows,
        .. GeneralFindings.Rows,
        .. BalanceFindings.Rows,
        .. NeurologyFindings.Rows,
        .. HeadAndNeckFindings.Rows,
        .. HearingConcernFindings.Rows,
        .. AftercareFindings.Rows,
    ];

    /// <summary>Facts of one ear.</summary>
    public static IReadOnlyList<Finding<EarExamination>> Ear { get; } =
    [
        .. HearingFindings.Rows,
        .. SymptomFindings.Rows,
        .. EarHistoryFindings.Rows,
        .. OuterEarFindings.Rows,
        .. ProcedureFindings.Rows,
    ];

    /// <summary>Facts of one look into one ear; the moment, before or after, is told apart by the reader of the row.</summary>
    public static IReadOnlyList<Finding<Otoscopy>> Otoscopy { get; } = OtoscopyFindings.Rows;
}
