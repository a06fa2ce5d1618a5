using EarReferral.Encounters.Reading;

namespace EarReferral.Encounters.Rules;

/// <summary>The NHS number has a right check digit (NHS Data Dictionary, modulus 11) or there is a reason for its absence.</summary>
internal static class NhsNumberRule
{
    private const int Length = 10;

    public static IEnumerable<EncounterProblem> Check(RuleSubject subject)
    {
        var patient = subject.Encounter.Patient;
        if (patient.NhsNumber is not { } number)
        {
            if (patient.NhsNumberAbsentReason is null)
            {
                yield return RuleProblems.NhsNumberMissing.At("/patient/nhsNumber");
            }

            yield break;
        }

        if (patient.NhsNumberAbsentReason is not null)
        {
            yield return RuleProblems.NhsNumberAndReason.At("/patient/nhsNumberAbsentReason");
        }

        var digits = number.Value.Replace(" ", string.Empty, StringComparison.Ordinal);
        if (digits.All(digit => digit == digits[0]))
        {
            // Ten equal digits pass the arithmetic, so they are refused by name.
            yield return RuleProblems.NhsNumberSameDigits.At("/patient/nhsNumber/value");
        }
        else if (!HasRightCheckDigit(digits))
        {
            yield return RuleProblems.NhsNumberCheckDigit.At("/patient/nhsNumber/value");
        }
        else if (digits.StartsWith("999", StringComparison.Ordinal) && !subject.Options.AllowTestNhsNumbers)
        {
            yield return RuleProblems.NhsNumberTestRange.At("/patient/nhsNumber/value");
        }
    }

    /// <summary>Weights 10 to 2 on the first nine digits; 11 less the remainder by 11 is the last one, 11 counts as 0, 10 is never right.</summary>
    internal static bool HasRightCheckDigit(string digits)
    {
        if (digits.Length != Length || !digits.All(char.IsAsciiDigit))
        {
            return false;
        }

        var sum = digits.Take(Length - 1).Select((digit, index) => (digit - '0') * (Length - index)).Sum();
        var check = (11 - (sum % 11)) % 11;
        return check == digits[^1] - '0';
    }
}
