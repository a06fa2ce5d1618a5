using EarReferral.Encounters;
using EarReferral.Mapping.Codes;
using EarReferral.Mapping.Narrative;
using EarReferral.Mapping.Record;

namespace EarReferral.Mapping.Referral;

/// <summary>An answer to a rule in the words of the receiver, the GP practice, the clinic and the patient.</summary>
public static class AnswerWords
{
    /// <summary>What became of the rule, for a professional reader; an answer that does not count says so and why.</summary>
    public static string ForClinician(RuleAnswer answer)
    {
        var response = answer.Response;
        var side = answer.Rule.Side is { } ear ? $", {BodySites.Words(ReferralMapper.Side(ear)).ToLowerInvariant()}" : string.Empty;
        var asked = $"{answer.Rule.Title}{side} ({answer.Rule.Id}, {answer.Rule.TimeLimit})";
        return $"{What(response, asked)}{(answer.Counts ? Effect(response.Kind) : string.Empty)} Recorded by {response.Person}, {Words.Instant(response.At)}"
            + (response.ConfirmedBy is { } second ? $", confirmed by {second}" : string.Empty)
            + $". {response.Reason}"
            + (answer.Counts ? string.Empty : $" NOT APPLIED, the rule stands: {string.Join(", ", answer.Lacking.Select(Word))}.");
    }

    /// <summary>What an answer that counts means for the patient, one sentence or two.</summary>
    /// <param name="answer">An answer that counts.</param>
    /// <param name="clinic">The zone in which times are said.</param>
    /// <param name="contact">How the patient reaches the clinic, such as "call Harbour Lane Ear Care on 01632 960700".</param>
    public static string ForPatient(RuleAnswer answer, TimeZoneInfo clinic, string contact) => answer.Response.Kind switch
    {
        RuleResponseKind.DeclinedByPatient =>
            $"We advised you to be seen ({answer.Rule.TimeLimit}) and you decided against it, so nothing was arranged. You can change your mind at any time: {contact}.",
        RuleResponseKind.AlreadyReferred =>
            $"You were already referred to {answer.Response.HandedTo} ({answer.Response.ReferredOn}); we have sent no second referral. If you have heard nothing from them, {contact}.",
        RuleResponseKind.HandedOverByPhone =>
            $"We told {answer.Response.HandedTo} about you by telephone at {Words.ForPatient(answer.Response.HandedAt!.Value, clinic)}.",
        RuleResponseKind.HandedOverWithPatient =>
            $"You have a letter for {answer.Response.HandedTo}: take it there yourself ({answer.Rule.TimeLimit}) and show it. Nobody there knows of you until you do.",
    };

    /// <summary>What an answer lacks, in words.</summary>
    public static string Word(AnswerGap gap) => gap switch
    {
        AnswerGap.Capacity => "capacity to decide this is not recorded",
        AnswerGap.Risks => "it is not recorded that the risks were explained",
        AnswerGap.Receiver => "to whom is not recorded",
        AnswerGap.Time => "when is not recorded",
        AnswerGap.Confirmation => "the second confirmation is missing",
    };

    private static string Effect(RuleResponseKind kind) => kind switch
    {
        RuleResponseKind.DeclinedByPatient => " No order stands for it.",
        RuleResponseKind.AlreadyReferred => " No second order stands for it.",
        RuleResponseKind.HandedOverByPhone => " An electronic order for it is the written copy of that call.",
        RuleResponseKind.HandedOverWithPatient => " The patient carries it, which says nothing about arrival; an electronic order for it is a copy.",
    };

    private static string What(RuleResponse response, string asked)
    {
        var receiver = response.HandedTo ?? "receiver not recorded";
        var handed = response.HandedAt is { } at ? Words.Instant(at) : "time not recorded";
        return response.Kind switch
        {
            RuleResponseKind.DeclinedByPatient => $"DECLINED by the patient: {asked}. Capacity: {(response.Capacity is { } capacity ? CodeSystems.Words(capacity) : "not recorded")}; "
                + $"risks explained: {ReferralNotes.Word(response.RisksExplained)}.",
            RuleResponseKind.AlreadyReferred => $"ALREADY REFERRED to {receiver}, {response.ReferredOn?.ToString() ?? "date not recorded"}: {asked}.",
            RuleResponseKind.HandedOverByPhone => $"HANDED OVER BY PHONE to {receiver}, {handed}: {asked}.",
            RuleResponseKind.HandedOverWithPatient => $"GIVEN TO THE PATIENT for {receiver}, {handed}: {asked}.",
        };
    }
}
