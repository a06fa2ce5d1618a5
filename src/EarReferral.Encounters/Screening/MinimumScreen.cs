using EarReferral.Encounters.Findings;

namespace EarReferral.Encounters.Screening;

/// <summary>The minimum screen of ear care, version 1: ten grouped questions, and what "none of these" answers.</summary>
/// <remarks>
/// The grouping is our own proposal, no source; what is asked follows from the rules of tiers T0 to T2. Only what a patient can say or a
/// clinician knows at the end of a visit is in it: a sign that has to be looked for is never answered by asking.
/// </remarks>
public static class MinimumScreen
{
    /// <summary>The version that this program knows.</summary>
    public const int Version = 1;

    /// <summary>The groups in the order in which they are asked.</summary>
    public static IReadOnlyList<ScreenQuestion> Questions { get; } =
    [
        new(ScreenGroup.HearingAndTinnitus, "Any hearing that comes and goes, gets worse by the day, is worse than age explains or troubles mainly on one side; noises in ear or head; or sounds so loud that they distress?", DenyHearing, DenyHearing),
        new(ScreenGroup.Balance, "Any dizziness, spinning, unsteadiness, or being sick with it?", DenyBalance, Same),
        new(ScreenGroup.Nerves, "Any weakness or numbness of face, arm or leg, trouble speaking, double vision or swallowing, or growing loss of strength or feeling?", DenyNerves, Same),
        new(ScreenGroup.Unwell, "Any fever or feeling ill, severe headache, or deep pain behind the eye?", DenyIllness, Same),
        new(ScreenGroup.PainAndDischarge, "Any pain in or around the ear, or anything but wax coming out of it, now or again and again?", Same, DenyPain),
        new(ScreenGroup.InjuryAndObjects, "Any injury to head or ear, slap, blast or pressure, or anything put or stuck in the ear?", DenyHeadInjury, DenyInjury),
        new(ScreenGroup.NeckMouthVoice, "Any lump in neck, cheek or throat, hoarseness, or an ulcer in the mouth?", DenyNeck, Same),
        new(ScreenGroup.Risks, "Any diabetes, weak immune defence, blood thinner, radiotherapy to head or neck, cleft palate, or trouble keeping still?", DenyRisks, Same),
        new(ScreenGroup.EarlierEarTrouble, "Any earlier ear operation, grommet, hole in the drum, middle-ear infection now, only one hearing ear, or trouble with an earlier irrigation?", Same, DenyEarTrouble),
        new(ScreenGroup.AfterProcedure, "After the procedure: any bleeding, severe pain, new noises, dizziness, faint, fall, blow to the head, or new weakness of the face?", DenyPatientComplications, DenyComplications),
    ];

    /// <summary>
    /// The encounter with every finding filled in that the screen answers and the clinician did not record otherwise. What is recorded stands,
    /// an express <c>notAsked</c> too.
    /// </summary>
    public static ClinicEncounter Apply(ClinicEncounter encounter)
    {
        if (encounter.Screening is not { Screen: ScreenName.EarCareMinimum, Version: Version, NoneOfThese: Answer.Yes } screening)
        {
            return encounter;
        }

        var answered = new List<ScreenAnswer>();
        var told = encounter;
        foreach (var question in Questions.Where(question => !screening.Except.Contains(question.Group)))
        {
            // Where nothing was done there is nothing to ask about it.
            var before = told;
            var aboutPatient = question.Group is ScreenGroup.AfterProcedure && told.Ears.All(ear => ear.Steps.Count == 0) ? told : question.OfPatient(told);
            told = aboutPatient with { Ears = [.. told.Ears.Select(ear => question.Group is ScreenGroup.AfterProcedure && ear.Steps.Count == 0 ? ear : question.OfEar(ear))] };
            answered.AddRange(FindingCatalogue.Patient.Where(finding => finding.Read(before) is null && finding.Read(told) is not null)
                .Select(finding => new ScreenAnswer(null, finding.Code, question.Group)));
            answered.AddRange(before.Ears.Zip(told.Ears).SelectMany(pair => FindingCatalogue.Ear
                .Where(finding => finding.Read(pair.First) is null && finding.Read(pair.Second) is not null)
                .Select(finding => new ScreenAnswer(pair.First.Side, finding.Code, question.Group))));
        }

        return told.WithScreenAnswers(answered);
    }

    /// <summary>The groups that are denied as a whole although a finding of theirs is recorded as there.</summary>
    internal static IEnumerable<ScreenGroup> Contradicted(ClinicEncounter encounter)
    {
        if (encounter.Screening is not { NoneOfThese: Answer.Yes } screening)
        {
            return [];
        }

        return Questions.Where(question => !screening.Except.Contains(question.Group) && Contradicts(question, encounter)).Select(question => question.Group);
    }

    /// <summary>The group that asks about a finding; null when none does.</summary>
    public static ScreenGroup? GroupOf(string code) => GroupByCode.TryGetValue(code, out var group) ? group : null;

    private static Dictionary<string, ScreenGroup> GroupByCode { get; } = Questions
        .SelectMany(question => Denied(question).Select(denial => (denial.Code, question.Group)))
        .ToDictionary(each => each.Code, each => each.Group, StringComparer.Ordinal);

    /// <summary>What the group answers when nothing else is recorded.</summary>
    private static IEnumerable<(string Code, FindingValue Value)> Denied(ScreenQuestion question)
    {
        var (patient, ear) = (question.OfPatient(Blank.Encounter), question.OfEar(Blank.Ear));
        return FindingCatalogue.Patient.Select(finding => (finding.Code, Value: finding.Read(patient)))
            .Concat(FindingCatalogue.Ear.Select(finding => (finding.Code, Value: finding.Read(ear))))
            .Where(finding => finding.Value is not null)
            .Select(finding => (finding.Code, finding.Value!));
    }

    private static bool Contradicts(ScreenQuestion question, ClinicEncounter encounter)
    {
        var denied = Denied(question).ToDictionary(each => each.Code, each => each.Value, StringComparer.Ordinal);
        return FindingCatalogue.Patient.Where(finding => denied.ContainsKey(finding.Code)).Any(finding => Says(finding.Read(encounter), denied[finding.Code]))
            || encounter.Ears.Any(ear => FindingCatalogue.Ear.Where(finding => denied.ContainsKey(finding.Code)).Any(finding => Says(finding.Read(ear), denied[finding.Code])));
    }

    private static bool Says(FindingValue? recorded, FindingValue denial) => recorded is not (null or FindingValue.Unknown) && recorded != denial;

    private static ClinicEncounter Same(ClinicEncounter encounter) => encounter;

    private static EarExamination Same(EarExamination ear) => ear;

    private static ClinicEncounter DenyHearing(ClinicEncounter encounter)
    {
        var concern = encounter.HearingConcern ?? new HearingConcern();
        var distress = encounter.TinnitusDistress ?? new TinnitusDistress();
        return encounter with
        {
            HearingConcern = concern with
            {
                OneSidedMainConcern = concern.OneSidedMainConcern ?? Answer.No,
                HyperacusisDistress = concern.HyperacusisDistress ?? Answer.No,
                NotAgeRelated = concern.NotAgeRelated ?? Answer.No,
            },
            TinnitusDistress = distress with { Distressing = distress.Distressing ?? Answer.No },
        };
    }

    private static EarExamination DenyHearing(EarExamination ear)
    {
        var hearing = ear.Hearing ?? new Hearing();
        var tinnitus = ear.Tinnitus ?? new Tinnitus();
        return ear with
        {
            Hearing = hearing with { Fluctuates = hearing.Fluctuates ?? Answer.No, Ongoing = hearing.Ongoing ?? Answer.No },
            Tinnitus = tinnitus with { Present = tinnitus.Present ?? Answer.No },
        };
    }

    private static ClinicEncounter DenyBalance(ClinicEncounter encounter)
    {
        var vertigo = encounter.Vertigo ?? new Vertigo();
        return encounter with
        {
            Vertigo = vertigo with
            {
                Present = vertigo.Present ?? Answer.No,
                SuddenOnset = vertigo.SuddenOnset ?? Answer.No,
                Recurrent = vertigo.Recurrent ?? Answer.No,
                GaitUnsteady = vertigo.GaitUnsteady ?? Answer.No,
                NauseaOrVomiting = vertigo.NauseaOrVomiting ?? Answer.No,
            },
        };
    }

    private static ClinicEncounter DenyNerves(ClinicEncounter encounter)
    {
        var nerves = encounter.Neurology ?? new Neurology();
        return encounter with
        {
            Neurology = nerves with
            {
                FacialWeakness = nerves.FacialWeakness ?? BodySide.None,
                FacialAlteredSensation = nerves.FacialAlteredSensation ?? BodySide.None,
                LimbWeakness = nerves.LimbWeakness ?? Answer.No,
                SpeechDisturbance = nerves.SpeechDisturbance ?? Answer.No,
                OtherCranialNervePalsy = nerves.OtherCranialNervePalsy ?? Answer.No,
                SixthNervePalsy = nerves.SixthNervePalsy ?? Answer.No,
                StrokeSuspected = nerves.StrokeSuspected ?? Answer.No,
                CentralLossProgressive = nerves.CentralLossProgressive ?? Answer.No,
            },
        };
    }

    private static ClinicEncounter DenyIllness(ClinicEncounter encounter)
    {
        var general = encounter.General ?? new GeneralState();
        return encounter with
        {
            General = general with
            {
                SystemicallyUnwell = general.SystemicallyUnwell ?? Answer.No,
                SevereHeadache = general.SevereHeadache ?? Answer.No,
                RetroOrbitalPain = general.RetroOrbitalPain ?? Answer.No,
            },
        };
    }

    private static EarExamination DenyPain(EarExamination ear)
    {
        var (pain, discharge) = (ear.Pain ?? new EarPain(), ear.Discharge ?? new EarDischarge());
        return ear with
        {
            Pain = pain with { Present = pain.Present ?? Answer.No },
            Discharge = discharge with { Present = discharge.Present ?? Answer.No, Recurs = discharge.Recurs ?? Answer.No },
        };
    }

    private static ClinicEncounter DenyHeadInjury(ClinicEncounter encounter)
    {
        var injury = encounter.HeadInjury ?? new HeadInjury();
        return encounter with { HeadInjury = injury with { Present = injury.Present ?? Answer.No } };
    }

    private static EarExamination DenyInjury(EarExamination ear)
    {
        var (trauma, body) = (ear.Trauma ?? new EarTrauma(), ear.ForeignBody ?? new ForeignBody());
        return ear with
        {
            Trauma = trauma with { Penetrating = trauma.Penetrating ?? Answer.No, PressureOrBlast = trauma.PressureOrBlast ?? Answer.No },
            ForeignBody = body with { Present = body.Present ?? Answer.No },
        };
    }

    private static ClinicEncounter DenyNeck(ClinicEncounter encounter)
    {
        var neck = encounter.HeadAndNeck ?? new HeadAndNeck();
        return encounter with
        {
            HeadAndNeck = neck with
            {
                NeckLump = neck.NeckLump ?? Answer.No,
                ParotidMass = neck.ParotidMass ?? Answer.No,
                ThyroidLump = neck.ThyroidLump ?? Answer.No,
                Hoarseness = neck.Hoarseness ?? Answer.No,
                MouthUlcer = neck.MouthUlcer ?? Answer.No,
            },
        };
    }

    private static ClinicEncounter DenyRisks(ClinicEncounter encounter)
    {
        var risks = encounter.Background ?? new Background();
        return encounter with
        {
            Background = risks with
            {
                Immunocompromised = risks.Immunocompromised ?? Answer.No,
                Diabetes = risks.Diabetes ?? Answer.No,
                Anticoagulant = risks.Anticoagulant ?? Answer.No,
                HeadNeckRadiation = risks.HeadNeckRadiation ?? Answer.No,
                CannotKeepStill = risks.CannotKeepStill ?? Answer.No,
                CleftPalate = risks.CleftPalate ?? Answer.No,
            },
        };
    }

    private static EarExamination DenyEarTrouble(EarExamination ear)
    {
        var history = ear.History ?? new EarHistory();
        return ear with
        {
            History = history with
            {
                EarSurgery = history.EarSurgery ?? Answer.No,
                Grommet = history.Grommet ?? GrommetState.Never,
                PerforationKnown = history.PerforationKnown ?? Answer.No,
                OnlyHearingEar = history.OnlyHearingEar ?? Answer.No,
                EarlierIrrigationProblem = history.EarlierIrrigationProblem ?? Answer.No,
                AcuteMiddleEarInfection = history.AcuteMiddleEarInfection ?? Answer.No,
            },
        };
    }

    private static ClinicEncounter DenyPatientComplications(ClinicEncounter encounter)
    {
        var complications = encounter.Complications ?? new PatientComplications();
        return encounter with
        {
            Complications = complications with
            {
                Vertigo = complications.Vertigo ?? ProcedureVertigo.None,
                Faint = complications.Faint ?? Answer.No,
                Fall = complications.Fall ?? Answer.No,
                HeadStrike = complications.HeadStrike ?? Answer.No,
                NewFacialWeakness = complications.NewFacialWeakness ?? Answer.No,
            },
        };
    }

    private static EarExamination DenyComplications(EarExamination ear)
    {
        var complications = ear.Complications ?? new EarComplications();
        return ear with
        {
            Complications = complications with
            {
                Bleeding = complications.Bleeding ?? Bleeding.None,
                Pain = complications.Pain ?? Severity.None,
                TinnitusNewOrLouder = complications.TinnitusNewOrLouder ?? Answer.No,
            },
        };
    }
}
