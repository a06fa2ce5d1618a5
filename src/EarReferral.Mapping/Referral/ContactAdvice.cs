using EarReferral.Encounters;
using EarReferral.Mapping.Codes;

namespace EarReferral.Mapping.Referral;

/// <summary>How the receiver can reach and understand the patient.</summary>
internal static class ContactAdvice
{
    /// <summary>One line per need. A telephone is never proposed for somebody who cannot hear on one.</summary>
    public static IEnumerable<string> Lines(ReachingPatient? reaching)
    {
        if (reaching is null)
        {
            yield return "How to reach the patient: not asked.";
            yield break;
        }

        if (reaching.HearsOnTelephone is Answer.No)
        {
            yield return $"Do not telephone: the patient cannot use a telephone. Contact {WithoutTelephone(reaching)}.";
        }
        else if (reaching.Preferred is { } preferred)
        {
            yield return $"Preferred contact: {CodeSystems.Words(preferred)}.";
        }

        if (reaching.HearsOnTelephone is null or Answer.NotAsked)
        {
            yield return "Whether the patient hears on a telephone: not asked.";
        }

        if (reaching.Language is { } language)
        {
            yield return $"Language: {language}.";
        }

        yield return reaching.InterpreterNeeded switch
        {
            Answer.Yes => "Interpreter needed.",
            Answer.No => "No interpreter needed.",
            Answer.NotAsked or null => "Interpreter: not asked.",
            _ => throw new ArgumentOutOfRangeException(nameof(reaching), reaching.InterpreterNeeded, "An answer that the contract does not know."),
        };
        if (reaching.Carer is { } carer)
        {
            yield return $"Carer or helper: {carer}.";
        }

        if (reaching.Capacity is { } capacity)
        {
            yield return $"Capacity to decide: {CodeSystems.Words(capacity)}.";
        }
    }

    /// <summary>The channel for somebody who cannot use a telephone.</summary>
    public static string WithoutTelephone(ReachingPatient reaching) => reaching.Preferred switch
    {
        ContactPreference.TextMessage when reaching.Telephone is not null => "by text message",
        ContactPreference.Email when reaching.Email is not null => "by e-mail",
        ContactPreference.Letter => "by letter",
        ContactPreference.ThroughCarer when reaching.Carer is not null => "through the carer or helper",
        ContactPreference.RelayService => "through the relay service",
        _ when reaching.Email is not null => "by e-mail",
        _ when reaching.Carer is not null => "through the carer or helper",
        _ => "by letter",
    };
}
