using System.Collections.Concurrent;
using System.Text;

namespace EarReferral.Encounters.Findings;

/// <summary>The one place where names of the model become codes: <c>PartlyBlocked</c> is <c>partly-blocked</c> in a code system and <c>partlyBlocked</c> in the contract.</summary>
public static class Naming
{
    // One dictionary for all closed lists: one for each would be compiled for each of them at every start. Bounded by the members there are.
    private static readonly ConcurrentDictionary<Enum, string> Codes = new();

    /// <summary>Kebab case of a name in Pascal case: every capital after the first begins a word, so <c>TimesADay</c> is <c>times-a-day</c>.</summary>
    public static string Kebab(string pascal)
    {
        var text = new StringBuilder(pascal.Length + 8);
        foreach (var letter in pascal)
        {
            if (text.Length > 0 && char.IsAsciiLetterUpper(letter))
            {
                text.Append('-');
            }

            text.Append(char.ToLowerInvariant(letter));
        }

        return text.ToString();
    }

    /// <summary>Kebab-case code of an enum member.</summary>
    public static string Code<TEnum>(TEnum value)
        where TEnum : struct, Enum => Codes.GetOrAdd(value, static member => Kebab(member.ToString()));

    /// <summary>Kebab-case name of the closed list that an enum is, such as <c>hearing-change</c>.</summary>
    public static string List<TEnum>()
        where TEnum : struct, Enum => Kebab(typeof(TEnum).Name);
}
