using System.Globalization;

namespace EarReferral.Encounters.Reading;

/// <summary>Writes a double as ECMAScript's Number::toString does, which RFC 8785 asks for.</summary>
internal static class EcmaScriptNumber
{
    /// <summary>Text of a finite number.</summary>
    public static string Format(double value)
    {
        if (value == 0)
        {
            return "0";
        }

        // "R" gives the shortest digits that read back the same, only laid out differently.
        var shortest = Math.Abs(value).ToString("R", CultureInfo.InvariantCulture);
        var (digits, exponent) = Split(shortest);
        var sign = value < 0 ? "-" : string.Empty;
        var count = digits.Length;

        // ECMA-262, Number::toString, with exponent = n: the point lies after n digits.
        return sign + (exponent switch
        {
            >= 1 and <= 21 when count <= exponent => digits + new string('0', exponent - count),
            >= 1 and <= 21 => $"{digits[..exponent]}.{digits[exponent..]}",
            > -6 and <= 0 => $"0.{new string('0', -exponent)}{digits}",
            _ => Scientific(digits, exponent - 1),
        });
    }

    private static string Scientific(string digits, int power)
    {
        var mantissa = digits.Length == 1 ? digits : $"{digits[..1]}.{digits[1..]}";
        return string.Create(CultureInfo.InvariantCulture, $"{mantissa}e{(power < 0 ? "-" : "+")}{Math.Abs(power)}");
    }

    // Significant digits without leading or trailing zeros, and how many of them stand before the point.
    private static (string Digits, int Exponent) Split(string text)
    {
        var parts = text.Split('E');
        var power = parts.Length == 2 ? int.Parse(parts[1], CultureInfo.InvariantCulture) : 0;
        var point = parts[0].IndexOf('.', StringComparison.Ordinal);
        var whole = point < 0 ? parts[0] : parts[0][..point];
        var all = whole + (point < 0 ? string.Empty : parts[0][(point + 1)..]);
        var leading = all.Length - all.TrimStart('0').Length;
        return (all.Trim('0'), whole.Length - leading + power);
    }
}
