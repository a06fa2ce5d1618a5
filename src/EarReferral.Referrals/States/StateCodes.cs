using System.Text;

namespace EarReferral.Referrals.States;

/// <summary>The states as codes on the wire: FHIR R4 writes them in kebab case, and so does our own code system.</summary>
public static class StateCodes
{
    /// <summary>Code system of <see cref="BusinessStatus"/>.</summary>
    public const string BusinessStatusSystem = "https://ear-referral.example/fhir/CodeSystem/referral-business-status";

    /// <summary>The code of a <c>ServiceRequest.status</c>.</summary>
    public static string Code(this AuthorisationStatus status) => Kebab(status.ToString());

    /// <summary>The code of a <c>Task.status</c>.</summary>
    public static string Code(this ExecutionStatus status) => Kebab(status.ToString());

    /// <summary>The code of a <c>Task.businessStatus</c>.</summary>
    public static string Code(this BusinessStatus status) => Kebab(status.ToString());

    /// <summary>Reads a <c>ServiceRequest.status</c>; null for a code that R4 does not have.</summary>
    public static AuthorisationStatus? Authorisation(string code) => Find<AuthorisationStatus>(code);

    /// <summary>Reads a <c>Task.status</c>; null for a code that R4 does not have.</summary>
    public static ExecutionStatus? Execution(string code) => Find<ExecutionStatus>(code);

    /// <summary>Reads a <c>Task.businessStatus</c> of our code system; null for any other code.</summary>
    public static BusinessStatus? Business(string code) => Find<BusinessStatus>(code);

    private static T? Find<T>(string code)
        where T : struct, Enum
    {
        foreach (var value in Enum.GetValues<T>())
        {
            if (string.Equals(Kebab(value.ToString()), code, StringComparison.Ordinal))
            {
                return value;
            }
        }

        return null;
    }

    private static string Kebab(string name)
    {
        var text = new StringBuilder(name.Length + 4);
        foreach (var letter in name)
        {
            if (char.IsAsciiLetterUpper(letter) && text.Length > 0)
            {
                text.Append('-');
            }

            text.Append(char.ToLowerInvariant(letter));
        }

        return text.ToString();
    }
}
