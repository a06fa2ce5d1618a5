using EarReferral.Encounters;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Codes;

/// <summary>UCUM units (codes of the R4 value set ucum-common) and lengths in words.</summary>
public static class Units
{
    public const string Millimetre = "mm";
    public const string Celsius = "Cel";
    public const string Hertz = "Hz";
    public const string Decibel = "dB";
    public const string MillimetreOfMercury = "mm[Hg]";
    public const string Kilopascal = "kPa";
    public const string Unity = "1";

    /// <summary>1 inch = 25.4 mm exactly (international yard and pound agreement, 1959).</summary>
    private const decimal MillimetresPerInch = 25.4m;

    /// <summary>A number with its UCUM unit.</summary>
    public static Quantity Quantity(decimal value, string ucum) => new()
    {
        Value = value,
        Unit = ucum switch { Unity => null, Celsius => "°C", MillimetreOfMercury => "mmHg", _ => ucum },
        System = CodeSystems.Ucum,
        Code = ucum,
    };

    /// <summary>A hearing threshold. UCUM has no unit for dB HL, so the reference stands in the unit's text only.</summary>
    public static Quantity HearingLevel(decimal value) => new() { Value = value, Unit = "dB HL", System = CodeSystems.Ucum, Code = Decibel };

    /// <summary>A quantity as one says it: no UCUM notation, and a score or count as a plain number.</summary>
    public static string Words(Quantity quantity)
    {
        var number = FormattableString.Invariant($"{quantity.Value:0.#####}");
        return quantity.Code switch
        {
            "/d" => quantity.Value switch { 1 => "once a day", 2 => "twice a day", _ => $"{number} times a day" },
            "d" => quantity.Value == 1 ? "1 day" : $"{number} days",
            "h" => quantity.Value == 1 ? "1 hour" : $"{number} hours",
            "min" => quantity.Value == 1 ? "1 minute" : $"{number} minutes",
            Unity => number,
            { } code when code.StartsWith('{') => number,
            _ => $"{number} {quantity.Unit}".TrimEnd(),
        };
    }

    /// <summary>UCUM code of a pressure unit.</summary>
    public static string Ucum(PressureUnit unit) => unit switch
    {
        PressureUnit.MmHg => MillimetreOfMercury,
        PressureUnit.KPa => Kilopascal,
    };

    /// <summary>A pressure for people.</summary>
    public static string Pressure(Pressure pressure) =>
        FormattableString.Invariant($"{pressure.Value:0.###} {(pressure.Unit is PressureUnit.MmHg ? "mmHg" : "kPa")}");

    /// <summary>A length for people: millimetres as given, inches to two places.</summary>
    public static string Length(decimal millimetres) =>
        FormattableString.Invariant($"{millimetres:0.###} mm ({millimetres / MillimetresPerInch:0.00} in)");
}
