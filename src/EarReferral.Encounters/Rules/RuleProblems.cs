using EarReferral.Encounters.Reading;

namespace EarReferral.Encounters.Rules;

/// <summary>Problems between members: combinations that cannot be true or that leave out what has to be said.</summary>
internal static class RuleProblems
{
    public static readonly ProblemDefinition SupersedesMissing = new("record.supersedes-missing", "A revision after the first must say which revision it replaces and why.");
    public static readonly ProblemDefinition SupersedesOnFirst = new("record.supersedes-on-first", "The first revision replaces nothing.");
    public static readonly ProblemDefinition SupersedesWrongRevision = new("record.supersedes-wrong-revision", "A revision replaces the one directly before it.");

    public static readonly ProblemDefinition ZoneUnknown = new("time.zone-unknown", "The time zone is not a known IANA zone such as Europe/London.");
    public static readonly ProblemDefinition EndMissing = new("time.end-missing", "A finished visit has an end.");
    public static readonly ProblemDefinition EndBeforeStart = new("time.end-before-start", "The visit ends before it starts.");
    public static readonly ProblemDefinition EvaluationBeforeStart = new("time.evaluation-before-start", "The clinician decided before the visit started.");
    public static readonly ProblemDefinition OtoscopyOrder = new("time.otoscopy-order", "The look after the procedure is earlier than the look before it.");
    public static readonly ProblemDefinition OtoscopyOutsideVisit = new("time.otoscopy-outside-visit", "The ear was looked into before the visit started or after it ended.");
    public static readonly ProblemDefinition HistoryInFuture = new("time.history-in-future", "Something already told lies after the decision, counted by the clinic's calendar.");
    public static readonly ProblemDefinition HistoryBeforeBirth = new("time.history-before-birth", "Something told of the patient lies before their birth.");

    public static readonly ProblemDefinition BirthAfterVisit = new("patient.birth-date-after-visit", "The patient was born after the visit.");
    public static readonly ProblemDefinition TooOld = new("patient.birth-date-too-early", "The patient would be more than 125 years old.");
    public static readonly ProblemDefinition NhsNumberMissing = new("patient.nhs-number-missing", "There is neither an NHS number nor the reason why there is none.");
    public static readonly ProblemDefinition NhsNumberAndReason = new("patient.nhs-number-and-reason", "There is an NHS number and a reason for having none.");
    public static readonly ProblemDefinition NhsNumberCheckDigit = new("patient.nhs-number-check-digit", "The check digit of the NHS number is wrong (modulus 11).");
    public static readonly ProblemDefinition NhsNumberSameDigits = new("patient.nhs-number-same-digits", "Ten equal digits are no NHS number.");
    public static readonly ProblemDefinition NhsNumberTestRange = new("patient.nhs-number-test-range", "NHS numbers beginning with 999 are kept for tests and belong to nobody.");
    public static readonly ProblemDefinition PracticeMissing = new("patient.gp-practice-missing", "There is neither a GP practice nor the reason why there is none.");
    public static readonly ProblemDefinition PracticeAndReason = new("patient.gp-practice-and-reason", "There is a GP practice and a reason for having none.");

    public static readonly ProblemDefinition NoConsent = new("consent.treatment-missing", "Something was done to an ear and the consent to treatment is not yes.");

    public static readonly ProblemDefinition SideTwice = new("ear.side-twice", "One side has two entries.");
    public static readonly ProblemDefinition ImagesRefused = new("consent.images-refused", "Images are listed and the patient refused their recording.");
    public static readonly ProblemDefinition ImageOfOtherEar = new("image.ear-not-examined", "An image shows an ear that has no entry in this visit.");

    public static readonly ProblemDefinition VertigoDetails = new("vertigo.absent-with-details", "Vertigo is denied and yet described.");
    public static readonly ProblemDefinition FacialWeaknessDetails = new("neurology.facial-weakness-absent-with-details", "Facial weakness is denied and yet described.");
    public static readonly ProblemDefinition HeadInjuryDetails = new("head-injury.absent-with-details", "A head injury is denied and yet dated.");
    public static readonly ProblemDefinition TinnitusDetails = new("tinnitus.absent-with-details", "Tinnitus is denied and yet described.");
    public static readonly ProblemDefinition PainDetails = new("pain.absent-with-details", "Pain is denied and yet described.");
    public static readonly ProblemDefinition DischargeDetails = new("discharge.absent-with-details", "Discharge is denied and yet described.");
    public static readonly ProblemDefinition ForeignBodyDetails = new("foreign-body.absent-with-details", "A foreign object is denied and yet described.");
    public static readonly ProblemDefinition TraumaDetails = new("trauma.absent-with-details", "Injury of the ear is denied and yet dated.");
    public static readonly ProblemDefinition SoftenerDetails = new("softener.absent-with-details", "Use of a softener is denied and yet described.");
    public static readonly ProblemDefinition GrommetOut = new("history.grommet-out-date", "A date is given at which a grommet came out that never was or still is in place.");

    public static readonly ProblemDefinition HearingUnchangedDetails = new("hearing.unchanged-with-details", "Hearing did not change and yet the change is described.");
    public static readonly ProblemDefinition HearingDevelopment = new("hearing.development-contradicts", "The hours and the days over which the loss developed differ by more than a day.");

    public static readonly ProblemDefinition ThresholdTwice = new("audiogram.threshold-twice", "One frequency and conduction has two thresholds of the same masking.");
    public static readonly ProblemDefinition ThresholdEmpty = new("audiogram.threshold-empty", "A threshold has neither a level nor the mark that there was no response.");
    public static readonly ProblemDefinition ThresholdBoth = new("audiogram.threshold-and-no-response", "A threshold has a level and the mark that there was no response.");

    public static readonly ProblemDefinition DrumUnseen = new("drum.sign-without-view", "The drum was not seen; a sign of it can only be notSeen or left out.");
    public static readonly ProblemDefinition IntactPartlySeen = new("drum.intact-without-full-view", "A drum can be called intact only when all of it was seen.");
    public static readonly ProblemDefinition NoPerforationPartlySeen = new("drum.perforation-excluded-without-full-view", "A hole can be excluded only when all of the drum was seen.");
    public static readonly ProblemDefinition IntactAndPerforated = new("drum.intact-and-perforated", "The drum is called both intact and perforated.");
    public static readonly ProblemDefinition DrumBehindBlockage = new("drum.full-view-through-blocked-canal", "All of the drum was seen through a canal that is fully blocked or closed.");

    public static readonly ProblemDefinition WallOnDrum = new("location.wall-on-drum", "A place on the drum has a quadrant and no canal wall.");
    public static readonly ProblemDefinition QuadrantInCanal = new("location.quadrant-in-canal", "A place in the canal has a wall and no quadrant.");
    public static readonly ProblemDefinition SiteOfUnknownSign = new("location.sign-unknown", "A place is given for a sign that this part of the ear does not have.");
    public static readonly ProblemDefinition SiteOfMissingSign = new("location.sign-not-present", "A place is given for a sign that is not recorded as present.");

    public static readonly ProblemDefinition DepositTwice = new("deposit.id-twice", "Two deposits of one ear have the same id.");
    public static readonly ProblemDefinition DepositUnknown = new("step.deposit-unknown", "A step names a deposit that this ear does not have.");
    public static readonly ProblemDefinition DepositOfOtherEar = new("step.deposit-of-other-ear", "A step names a deposit that is recorded under the other ear; one of the two sides is wrong.");
    public static readonly ProblemDefinition SuctionOnOther = new("step.suction-member-without-suction", "A step without suction has a suction end or pressure.");
    public static readonly ProblemDefinition WaterOnOther = new("step.water-without-irrigation", "A step without irrigation has a water temperature.");
    public static readonly ProblemDefinition SuctionPressure = new("step.suction-pressure-range", "Suction cannot exceed one atmosphere: 760 mmHg or 101.3 kPa.");

    public static readonly ProblemDefinition AfterMissing = new("outcome.otoscopy-after-missing", "Something was done and the look afterwards is missing.");
    public static readonly ProblemDefinition OutcomeMissing = new("outcome.missing", "Something was done and the outcome is missing.");
    public static readonly ProblemDefinition ThinLayer = new("outcome.thin-layer-without-residual", "A thin layer left on the drum needs an entry under left: on the drum, on purpose.");
    public static readonly ProblemDefinition IncompleteWithoutResidual = new("outcome.incomplete-without-residual", "An incomplete removal needs an entry of what is left and where.");
    public static readonly ProblemDefinition AbandonedWithoutReason = new("outcome.abandoned-without-reason", "An abandoned procedure needs the reason why it was stopped.");
    public static readonly ProblemDefinition ClearWithResidual = new("outcome.clear-with-residual", "An ear is called clear and something is left in it.");
    public static readonly ProblemDefinition NotStartedWithSteps = new("outcome.not-started-with-steps", "A procedure that was not started has steps.");

    public static readonly ProblemDefinition VertigoMinutes = new("complications.vertigo-absent-with-minutes", "Vertigo with the procedure is denied and yet lasted.");
    public static readonly ProblemDefinition TinnitusSince = new("complications.tinnitus-absent-with-date", "New tinnitus after the procedure is denied and yet dated.");

    public static readonly ProblemDefinition ScreenVersion = new("screening.version-unknown", "This version of the screen is not known; the contract lists those that are.");
    public static readonly ProblemDefinition ScreenContradicted = new("screening.contradicted", "The screen denies a group as a whole and one of its findings is recorded as there; name the group under except.");

    public static readonly IReadOnlyList<ProblemDefinition> All =
    [
        SupersedesMissing, SupersedesOnFirst, SupersedesWrongRevision,
        ZoneUnknown, EndMissing, EndBeforeStart, EvaluationBeforeStart, OtoscopyOrder, OtoscopyOutsideVisit, HistoryInFuture, HistoryBeforeBirth,
        BirthAfterVisit, TooOld, NhsNumberMissing, NhsNumberAndReason, NhsNumberCheckDigit, NhsNumberSameDigits, NhsNumberTestRange, PracticeMissing, PracticeAndReason,
        NoConsent, ImagesRefused, SideTwice, ImageOfOtherEar,
        VertigoDetails, FacialWeaknessDetails, HeadInjuryDetails, TinnitusDetails, PainDetails, DischargeDetails, ForeignBodyDetails, TraumaDetails, SoftenerDetails, GrommetOut,
        HearingUnchangedDetails, HearingDevelopment, ThresholdTwice, ThresholdEmpty, ThresholdBoth,
        DrumUnseen, IntactPartlySeen, NoPerforationPartlySeen, IntactAndPerforated, DrumBehindBlockage,
        WallOnDrum, QuadrantInCanal, SiteOfUnknownSign, SiteOfMissingSign,
        DepositTwice, DepositUnknown, DepositOfOtherEar, SuctionOnOther, WaterOnOther, SuctionPressure,
        AfterMissing, OutcomeMissing, ThinLayer, IncompleteWithoutResidual, AbandonedWithoutReason, ClearWithResidual, NotStartedWithSteps,
        VertigoMinutes, TinnitusSince, ScreenVersion, ScreenContradicted,
    ];
}
