namespace EarReferral.Encounters.Findings;

/// <summary>One row of the finding catalogue: a fact that the contract can carry and how to read it.</summary>
/// <typeparam name="TSubject">What it is read from: the encounter, one ear, or one otoscopy.</typeparam>
/// <param name="Code">Canonical local code, <c>block-member</c> in kebab case.</param>
/// <param name="Display">Name of the fact for people.</param>
/// <param name="Kind">What sort of value it has.</param>
/// <param name="Read">Reads the value; null when the encounter says nothing about it.</param>
public sealed record Finding<TSubject>(string Code, string Display, FindingKind Kind, Func<TSubject, FindingValue?> Read);

/// <summary>Sorts of values.</summary>
public enum FindingKind
{
    /// <summary>Yes, no or not asked.</summary>
    Answer,

    /// <summary>Present, absent or not seen.</summary>
    Sign,

    /// <summary>A code of a closed list; the list is named by <see cref="FindingValue.Coded.List"/>.</summary>
    Coded,

    /// <summary>A date known to year, month or day.</summary>
    PartialDate,

    /// <summary>An instant with offset.</summary>
    Instant,

    /// <summary>A number with a UCUM unit.</summary>
    Quantity,

    /// <summary>Words.</summary>
    Text,
}

/// <summary>A value of a finding.</summary>
public abstract record FindingValue
{
    /// <summary>The fact was affirmed.</summary>
    public sealed record Present : FindingValue;

    /// <summary>The fact was denied.</summary>
    public sealed record Absent : FindingValue;

    /// <summary>The question was expressly not asked or the examination not made.</summary>
    /// <param name="Reason">Whether nobody asked or nobody looked.</param>
    public sealed record Unknown(UnknownReason Reason) : FindingValue;

    /// <summary>A code of a closed list.</summary>
    /// <param name="List">Kebab-case name of the list, which is the enum's name.</param>
    /// <param name="Code">Kebab-case code.</param>
    public sealed record Coded(string List, string Code) : FindingValue;

    /// <summary>A date.</summary>
    /// <param name="Date">The date as exactly as known.</param>
    public sealed record OnDate(PartialDate Date) : FindingValue;

    /// <summary>An instant.</summary>
    /// <param name="Instant">The instant with its offset.</param>
    public sealed record At(DateTimeOffset Instant) : FindingValue;

    /// <summary>A number with unit.</summary>
    /// <param name="Value">The number, as exactly as given.</param>
    /// <param name="Ucum">UCUM code of the unit.</param>
    public sealed record Measured(decimal Value, string Ucum) : FindingValue;

    /// <summary>Words.</summary>
    /// <param name="Text">The words as given.</param>
    public sealed record Said(string Text) : FindingValue;
}

/// <summary>Why a value is not known.</summary>
public enum UnknownReason
{
    /// <summary>Nobody asked.</summary>
    NotAsked,

    /// <summary>Nobody looked, measured or tested, or it could not be seen.</summary>
    NotSeen,

    /// <summary>It was asked or looked for and remains unknown.</summary>
    NotKnown,
}
