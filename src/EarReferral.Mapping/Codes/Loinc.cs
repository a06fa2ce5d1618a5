using EarReferral.Encounters;

namespace EarReferral.Mapping.Codes;

/// <summary>LOINC codes, each once.</summary>
/// <remarks>No code for otoscopy findings, wax or bone-conduction thresholds was seen; those stay local.</remarks>
public static class Loinc
{
    public static readonly Term EpisodeSummary = Of("34133-9", "Summary of episode note", Evidence.OnePublication, "HL7 R4 c80-doc-typecodes and document-classcodes; no second publisher was seen for any document type");
    public static readonly Term PatientConsent = Of("59284-0", "Patient Consent", Evidence.OnePublication, "HL7 R4 consent-category and c80-doc-typecodes; no second publisher was seen");
    public static readonly Term ThresholdLeft250 = Of("91375-6", "Hearing threshold Ear - left --250 Hz", Evidence.TwoPublishers, "SPLASCH; PACIO");
    public static readonly Term ThresholdLeft500 = Of("89024-4", "Hearing threshold Ear - left --500 Hz", Evidence.TwoPublishers, "SPLASCH; second guide");
    public static readonly Term ThresholdLeft750 = Of("91379-8", "Hearing threshold Ear - left --750 Hz", Evidence.OnePublication, "SPLASCH only");
    public static readonly Term ThresholdLeft1000 = Of("89016-0", "Hearing threshold Ear - left --1000 Hz", Evidence.TwoPublishers, "SPLASCH; second guide");
    public static readonly Term ThresholdLeft1500 = Of("91373-1", "Hearing threshold Ear - left --1500 Hz", Evidence.OnePublication, "SPLASCH only");
    public static readonly Term ThresholdLeft2000 = Of("89018-6", "Hearing threshold Ear - left --2000 Hz", Evidence.TwoPublishers, "SPLASCH; second guide");
    public static readonly Term ThresholdLeft3000 = Of("89020-2", "Hearing threshold Ear - left --3000 Hz", Evidence.TwoPublishers, "SPLASCH; second guide");
    public static readonly Term ThresholdLeft4000 = Of("89022-8", "Hearing threshold Ear - left --4000 Hz", Evidence.TwoPublishers, "SPLASCH; second guide");
    public static readonly Term ThresholdLeft6000 = Of("89026-9", "Hearing threshold Ear - left --6000 Hz", Evidence.OnePublication, "SPLASCH only");
    public static readonly Term ThresholdLeft8000 = Of("89028-5", "Hearing threshold Ear - left --8000 Hz", Evidence.OnePublication, "SPLASCH only");
    public static readonly Term ThresholdRight250 = Of("91374-9", "Hearing threshold Ear - right --250 Hz", Evidence.TwoPublishers, "SPLASCH; second publication");
    public static readonly Term ThresholdRight500 = Of("89025-1", "Hearing threshold Ear - right --500 Hz", Evidence.OnePublication, "SPLASCH only");
    public static readonly Term ThresholdRight750 = Of("91378-0", "Hearing threshold Ear - right --750 Hz", Evidence.OnePublication, "SPLASCH only");
    public static readonly Term ThresholdRight1000 = Of("89017-8", "Hearing threshold Ear - right --1000 Hz", Evidence.TwoPublishers, "SPLASCH; second publication");
    public static readonly Term ThresholdRight1500 = Of("91372-3", "Hearing threshold Ear - right --1500 Hz", Evidence.OnePublication, "SPLASCH only");
    public static readonly Term ThresholdRight2000 = Of("89019-4", "Hearing threshold Ear - right --2000 Hz", Evidence.OnePublication, "SPLASCH only");
    public static readonly Term ThresholdRight3000 = Of("89021-0", "Hearing threshold Ear - right --3000 Hz", Evidence.OnePublication, "SPLASCH only");
    public static readonly Term ThresholdRight4000 = Of("89023-6", "Hearing threshold Ear - right --4000 Hz", Evidence.TwoPublishers, "SPLASCH; second guide");
    public static readonly Term ThresholdRight6000 = Of("89027-7", "Hearing threshold Ear - right --6000 Hz", Evidence.TwoPublishers, "SPLASCH; second guide");
    public static readonly Term ThresholdRight8000 = Of("89029-3", "Hearing threshold Ear - right --8000 Hz", Evidence.TwoPublishers, "SPLASCH; second guide");

    /// <summary>Air-conduction threshold of one ear at one frequency in hertz; null where LOINC has none that was seen.</summary>
    public static Term? AirThreshold(EarSide side, int frequencyHz) => side switch
    {
        EarSide.Left => frequencyHz switch
        {
            250 => ThresholdLeft250,
            500 => ThresholdLeft500,
            750 => ThresholdLeft750,
            1000 => ThresholdLeft1000,
            1500 => ThresholdLeft1500,
            2000 => ThresholdLeft2000,
            3000 => ThresholdLeft3000,
            4000 => ThresholdLeft4000,
            6000 => ThresholdLeft6000,
            8000 => ThresholdLeft8000,
            _ => null,
        },
        EarSide.Right => frequencyHz switch
        {
            250 => ThresholdRight250,
            500 => ThresholdRight500,
            750 => ThresholdRight750,
            1000 => ThresholdRight1000,
            1500 => ThresholdRight1500,
            2000 => ThresholdRight2000,
            3000 => ThresholdRight3000,
            4000 => ThresholdRight4000,
            6000 => ThresholdRight6000,
            8000 => ThresholdRight8000,
            _ => null,
        },
    };

    private static Term Of(string code, string display, Evidence evidence, string source) => new(CodeSystems.Loinc, code, display, evidence, source);
}
