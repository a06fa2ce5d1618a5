namespace EarReferral.Gateway;

/// <summary>Messages of the gateway, event ids from 4000. Ids, counts and states only.</summary>
internal static partial class Log
{
    [LoggerMessage(4001, LogLevel.Information, "All profiles warm after {Milliseconds} ms")]
    public static partial void ValidatorWarm(ILogger logger, long milliseconds);

    [LoggerMessage(4009, LogLevel.Information, "Profiles read and decision rehearsed after {Milliseconds} ms")]
    public static partial void ProfilesRead(ILogger logger, long milliseconds);

    [LoggerMessage(4004, LogLevel.Information, "First encounter rehearsed, ready for real ones after {Milliseconds} ms")]
    public static partial void Rehearsed(ILogger logger, long milliseconds);

    [LoggerMessage(4005, LogLevel.Critical, "The encounter of the rehearsal does not meet our own profiles: expect every referral in quarantine")]
    public static partial void RehearsalNotValid(ILogger logger);

    [LoggerMessage(4003, LogLevel.Critical, "The validator cannot judge: {Failure}. No encounter is taken until this is mended")]
    public static partial void ValidatorBroken(ILogger logger, string failure);

    [LoggerMessage(4002, LogLevel.Information, "Rule book {Version} with {Rules} rules; {Clinics} clinics configured")]
    public static partial void RulesAndClinicsRead(ILogger logger, string version, int rules, int clinics);

    [LoggerMessage(4010, LogLevel.Information, "Encounter {Key} revision {Revision} stored as {State}, tier {Tier}")]
    public static partial void EncounterStored(ILogger logger, Guid key, int revision, string state, string tier);

    [LoggerMessage(4011, LogLevel.Warning, "Encounter refused: {ProblemIds}; provisional tier {Tier}")]
    public static partial void EncounterRefused(ILogger logger, string problemIds, string tier);

    [LoggerMessage(4012, LogLevel.Error, "Encounter {Key} QUARANTINED: its record did not pass our own profiles ({RuleIds}); tier {Tier}. Nothing is sent; phone when T0 or T1")]
    public static partial void EncounterQuarantined(ILogger logger, Guid key, string ruleIds, string tier);

    [LoggerMessage(4023, LogLevel.Warning, "Encounter {Key} looked at again and still in quarantine ({RuleIds})")]
    public static partial void QuarantineLookedAt(ILogger logger, Guid key, string ruleIds);

    [LoggerMessage(4024, LogLevel.Warning, "Encounter {Key} released from quarantine, tier {Tier}; its referral: {Placement}")]
    public static partial void QuarantineReleased(ILogger logger, Guid key, string tier, string placement);

    [LoggerMessage(4013, LogLevel.Warning, "Encounter {Key} arrived after its deadline, tier {Tier}")]
    public static partial void EncounterLate(ILogger logger, Guid key, string tier);

    [LoggerMessage(4016, LogLevel.Error, "Correction of encounter {Key}: {Placement}. The receiver does not learn of it by itself; phone")]
    public static partial void ReceiverMustBeTold(ILogger logger, Guid key, string placement);

    [LoggerMessage(4017, LogLevel.Warning, "Encounter {Key} retracted by revision {Revision}; its referral: {Placement}")]
    public static partial void EncounterRetracted(ILogger logger, Guid key, int revision, string placement);

    [LoggerMessage(4018, LogLevel.Warning, "Patient {PatientId} {State} by a person")]
    public static partial void PatientIdentityDecided(ILogger logger, string patientId, string state);

    [LoggerMessage(4015, LogLevel.Error, "ATTENTION, overdue since {Due}: {Kind} at clinic {Clinic}, {Reference}")]
    public static partial void AttentionOverdue(ILogger logger, DateTimeOffset due, string kind, string clinic, string reference);

    [LoggerMessage(4014, LogLevel.Error, "The store refused to write: {Reason}")]
    public static partial void StoreRefused(ILogger logger, string reason);

    [LoggerMessage(4020, LogLevel.Information, "Task {TaskId} moved to {Status}")]
    public static partial void TaskMoved(ILogger logger, string taskId, string status);

    [LoggerMessage(4022, LogLevel.Information, "Referral {ReferralId} closed: {Reason}")]
    public static partial void ReferralClosed(ILogger logger, string referralId, string reason);

    [LoggerMessage(4021, LogLevel.Warning, "Task update for {TaskId} not applied: {Reason}")]
    public static partial void TaskUpdateNotApplied(ILogger logger, string taskId, string reason);

    [LoggerMessage(4040, LogLevel.Information, "{Count} clients registered, {Gone} taken out")]
    public static partial void ClientsRegistered(ILogger logger, int count, int gone);

    [LoggerMessage(4041, LogLevel.Critical, "Route {Route} has no rule who may use it; refused")]
    public static partial void RouteWithoutRule(ILogger logger, string route);

    [LoggerMessage(4042, LogLevel.Warning, "Client {Client} refused at {Route}")]
    public static partial void AccessRefused(ILogger logger, string client, string route);

    [LoggerMessage(4043, LogLevel.Error, "An access could not be written down ({Reason}); nothing was shown")]
    public static partial void DisclosureRefused(ILogger logger, string reason);

    [LoggerMessage(4044, LogLevel.Error, "Audit rows could not be sealed ({Reason}); tried again")]
    public static partial void SealingFailed(ILogger logger, string reason);

    [LoggerMessage(4060, LogLevel.Warning, "Asked {Destination} how its referrals stand: {Why}")]
    public static partial void TaskQuestionUnclear(ILogger logger, string destination, string why);

    [LoggerMessage(4061, LogLevel.Information, "{Destination} notified: {Type}")]
    public static partial void Notified(ILogger logger, string destination, string type);
}
