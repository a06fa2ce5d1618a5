using System.ComponentModel;

namespace EarReferral.Gateway.Attention;

/// <summary>Something that waits for a person and has a clock of its own.</summary>
internal sealed record OpenMatter
{
    [Description("awaitingAnswer: a T0 or T1 question of a stored visit is open. quarantined: stored, but nothing is sent. referralNeedsHuman: sending stopped, or what was sent no longer holds, and a person must act. clockExpired: a clock of the referral ran out in silence. referralToClose: the receiver has ended the work, and a clinician must read why and close it. referralReplaced: a later visit was referred in its place; when the receiver has confirmed the new one, a clinician closes this one. sharingObjected: the patient objects to sharing; the referral is held, or a T0 or T1 visit is kept from the practice and nobody was phoned, and a clinician must decide. refusedRedFlag: a refused document whose readable part showed T0 or T1 was not posted again. historyChanged: an earlier visit came late, was amended or taken back, and a visit after it would now be decided otherwise; its decision stands until somebody corrects the visit or decides. identityConflict: what visits say contradicts itself about who a patient is, and searches by NHS number leave the record out. gpActionNotCollected: the visit asks the GP practice to act, and its system has not fetched the summary in time. summaryNotReleased: nobody can fetch the summary, see why; hand it over and write that down with POST /encounters/{id}/summary-given. destinationParked: nothing is sent to a receiver until somebody resumes it. channelFailing: messages about alarms do not get through by one of the ways.")]
    public required string Kind { get; init; }

    [Description("The clinic that must act; empty where it is the operator's.")]
    public required string ClinicId { get; init; }

    [Description("The clinic's own number of the visit, where it could be read.")]
    public string? EncounterId { get; init; }

    /// <summary>Key of the visit, for the pages; callers of the interface know it by its number.</summary>
    [System.Text.Json.Serialization.JsonIgnore]
    public Guid? EncounterKey { get; init; }

    [Description("Which clock ran out, for clockExpired: deliver, acknowledge, triageOutcome, appointment, outcome or informationReply.")]
    public string? Clock { get; init; }

    [Description("The referral, where it is about one.")]
    public string? ReferralId { get; init; }

    [Description("Whom to phone about it, where it is about a referral: the receiver that the referral was addressed to.")]
    public string? Who { get; init; }

    [Description("The number to phone, where one is configured.")]
    public string? Phone { get; init; }

    [Description("Id of the Patient resource, for identityConflict; link or unlink it, or correct the visit that is wrong.")]
    public string? PatientId { get; init; }

    [Description("What contradicts, for identityConflict. sharedNumber: another record has the same NHS number and another birth date. ownNumber, ownBirthDate: visits under one patient id of the clinic name different ones.")]
    public string? Conflict { get; init; }

    [Description("The clinic's number of the earlier visit, for historyChanged.")]
    public string? Because { get; init; }

    [Description("What would be decided otherwise, for historyChanged.")]
    public IReadOnlyList<string>? Difference { get; init; }

    [Description("Why nobody can fetch the summary, for summaryNotReleased. notRegistered, notKnown, declined: no practice is recorded. notConnected: no client of the recorded practice is registered here, or its code is mistyped.")]
    public string? Why { get; init; }

    [Description("Name of the destination or channel, for destinationParked and channelFailing.")]
    public string? Name { get; init; }

    [Description("Tier that stands behind it; none stands behind an identityConflict.")]
    public string? Tier { get; init; }

    [Description("Since when it waits.")]
    public required DateTimeOffset Since { get; init; }

    [Description("When it must be settled.")]
    public required DateTimeOffset Due { get; init; }

    [Description("The clock has run out.")]
    public bool Overdue { get; init; }
}

internal sealed record AttentionList(IReadOnlyList<OpenMatter> Items);
