using EarReferral.Gateway.Attention;

namespace EarReferral.Gateway.Pages.Desk;

/// <summary>Says what waits for a person, and on whom it waits.</summary>
internal static class MatterWords
{
    /// <summary>The matter in a sentence.</summary>
    public static string Of(OpenMatter matter) => matter.Kind switch
    {
        "awaitingAnswer" => "A question about a red flag is open. Ask the patient and post the answer.",
        "quarantined" => "Stored, but our own check refused its record: nothing is sent. Phone where urgent; the operator has it released.",
        "referralNeedsHuman" => "Sending stopped, or what was sent no longer holds. Act on the referral.",
        "clockExpired" => $"Silence: no {ClockName(matter.Clock)} in time.",
        "referralToClose" => "The receiver ended it. Read why and close.",
        "referralReplaced" => "A later referral takes its place. Close it when the new one is confirmed.",
        "sharingObjected" => "The patient objects to sharing. A clinician decides.",
        "refusedRedFlag" => "A refused document showed a red flag and was not posted again. Phone, correct it, post it.",
        "historyChanged" => "An earlier visit changed, and this one would now be decided otherwise.",
        "identityConflict" => "Visits contradict each other about who the patient is.",
        "gpActionNotCollected" => "The GP is asked to act and has not fetched the summary. Phone the practice.",
        "summaryNotReleased" => "No practice can fetch the summary. Hand it over and write that down.",
        "destinationParked" => $"Nothing is sent to {matter.Name} until somebody resumes it.",
        "channelFailing" => $"Alarms do not get through by {matter.Name}.",
        _ => matter.Kind,
    };

    /// <summary>On whom it waits.</summary>
    public static string Waits(OpenMatter matter) => matter.Kind switch
    {
        "clockExpired" when matter.Clock != "informationReply" => "The receiver",
        "gpActionNotCollected" => "The GP practice",
        "destinationParked" or "channelFailing" or "quarantined" => "The operator",
        _ => "The clinic",
    };

    private static string ClockName(string? clock) => clock switch
    {
        "deliver" => "proof of arrival",
        "acknowledge" => "first answer",
        "triageOutcome" => "decision",
        "appointment" => "appointment",
        "outcome" => "outcome",
        _ => "answer to their question",
    };
}
