namespace EarReferral.Gateway.Security;

/// <summary>One scope of SMART App Launch 2 for backend services, such as <c>system/Procedure.rs</c>.</summary>
/// <param name="Type">FHIR type, or <c>*</c>.</param>
/// <param name="Letters">Letters of <c>cruds</c>, in that order.</param>
/// <remarks>
/// Source: SMART App Launch 2, scopes and launch context. A scope with a query (<c>?category=...</c>) is none here: what it narrows
/// to would have to be enforced on every read. Version 1 words are read as the specification maps them: read is rs, write is cud.
/// </remarks>
internal sealed record SmartScope(string Type, string Letters)
{
    private const string Context = "system/";
    private const string Order = "cruds";

    /// <summary>Reads a scope; null when it is none of this form.</summary>
    public static SmartScope? Parse(string scope)
    {
        if (!scope.StartsWith(Context, StringComparison.Ordinal) || scope[Context.Length..].Split('.') is not [var type, var rights])
        {
            return null;
        }

        var letters = rights switch
        {
            "read" => "rs",
            "write" => "cud",
            "*" => Order,
            _ => rights,
        };
        var isType = type == "*" || (type.Length is > 1 and < 64 && char.IsAsciiLetterUpper(type[0]) && type.All(char.IsAsciiLetter));
        return isType && letters.Length > 0 && IsInOrder(letters) ? new SmartScope(type, letters) : null;
    }

    /// <summary>Whether it grants a right.</summary>
    public bool Allows(string type, char letter) => (Type == "*" || Type == type) && Letters.Contains(letter, StringComparison.Ordinal);

    /// <summary>Whether everything that the other asks for lies within it.</summary>
    public bool Covers(SmartScope other) => (Type == "*" || Type == other.Type) && other.Letters.All(letter => Letters.Contains(letter, StringComparison.Ordinal));

    private static bool IsInOrder(string letters)
    {
        var places = letters.Select(letter => Order.IndexOf(letter, StringComparison.Ordinal)).ToList();
        return !places.Contains(-1) && places.Zip(places.Skip(1)).All(pair => pair.First < pair.Second);
    }
}
