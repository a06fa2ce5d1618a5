using System.Globalization;
using EarReferral.Encounters;
using EarReferral.Encounters.Reading;
using EarReferral.Mapping.History;
using EarReferral.Mapping.Identity;
using EarReferral.Mapping.Record;
using EarReferral.Testing;
using EarReferral.Triage.Decisions;
using EarReferral.Triage.Evaluation;
using Hl7.Fhir.Model;

namespace EarReferral.Triage.Tests.SecondEngine;

/// <summary>A visit as the gateway maps and stores it, facts of earlier visits among its resources, with the decision that was made on it.</summary>
internal sealed record MappedVisit(string Id, DateTimeOffset EvaluatedAt, string Zone, IReadOnlyList<Resource> Bundle, TriageDecision Decision);

/// <summary>Every published example, and for each kind of fact that earlier visits give a visit on both sides of its limit.</summary>
internal static class MappedVisits
{
    private static readonly EncounterIdentity Identity = new(
        new Guid("7d2b6c1e-0f4a-4c61-8b5e-3a9d1f0c2e01"),
        new Guid("7d2b6c1e-0f4a-4c61-8b5e-3a9d1f0c2e02"),
        new Guid("7d2b6c1e-0f4a-4c61-8b5e-3a9d1f0c2e03"),
        new Guid("7d2b6c1e-0f4a-4c61-8b5e-3a9d1f0c2e04"));

    private static readonly Otoscopy Unseen = new() { Drum = new Drum { Visualised = DrumVisibility.Not } };

    private static readonly ClinicEncounter Ordinary = Read("06-clear-ears-nothing-to-do");

    public static IReadOnlyList<MappedVisit> All { get; } =
    [
        .. Directory.GetFiles(Repository.At("examples", "encounters"), "*.json").Order(StringComparer.Ordinal)
            .Select(file => Path.GetFileNameWithoutExtension(file)).Select(name => Map(name, Read(name))),
        .. WithHistory,
    ];

    /// <summary>The visits whose decision rests on an earlier one.</summary>
    public static IEnumerable<MappedVisit> WithHistory =>
    [
        Today("hole-56-days", Hole(), (56, Hole())),
        Today("hole-55-days", Hole(), (55, Hole())),
        Today("hole-contradicted", Hole() with { History = new EarHistory { PerforationKnown = Answer.No } }, (80, Hole())),
        Today("discharge-recurs", Wet(DischargeKind.Foul), (60, Wet(DischargeKind.Foul)), (30, Dry())),
        Today("discharge-the-same-episode", Wet(DischargeKind.Foul), (10, Wet(DischargeKind.Foul))),
        Today("second-failed-irrigation", Irrigated(), (30, Irrigated())),
        Today("failed-irrigation-too-long-ago", Irrigated(), (91, Irrigated())),
        Today("30-dB-worse-than-a-year-ago", Heard(2026, 40, 40, 40), (365, Heard(2025, 10, 10, 10))),
        Today("25-dB-worse-in-the-middle", Heard(2026, 40, 35, 40), (365, Heard(2025, 10, 10, 10))),
        Today("other-ear-only", Hole(), (80, Hole() with { Side = EarSide.Left })),
    ];

    private static MappedVisit Today(string id, EarExamination ear, params (int DaysAgo, EarExamination Ear)[] earlier)
    {
        var other = new EarExamination { Side = EarSide.Left, Before = Unseen, Hearing = new Hearing { Change = HearingChange.None } };
        return Map(id, Ordinary with { Ears = [ear, other] }, [.. earlier.Select(past => new EarlierVisit(
            Ordinary with
            {
                EncounterId = string.Create(CultureInfo.InvariantCulture, $"{past.DaysAgo} days before"),
                EvaluationInstant = Ordinary.EvaluationInstant.AddDays(-past.DaysAgo),
                Ears = [past.Ear],
            },
            new Guid("7d2b6c1e-0f4a-4c61-8b5e-3a9d1f0c2e05")))]);
    }

    private static MappedVisit Map(string id, ClinicEncounter visit, params EarlierVisit[] earlier)
    {
        var record = RecordMapper.Map(visit, Identity, MappingContext.BritishEnglish);
        var history = HistoryMapper.Input(VisitHistory.Of(visit, Identity, earlier), visit, record, Identity);
        var decision = TriageEngine.Decide(RuleBookFiles.Book, record.Resources, history, visit.EvaluationInstant, TimeZoneInfo.FindSystemTimeZoneById(visit.ClinicTimeZone));
        return new MappedVisit(id, visit.EvaluationInstant, visit.ClinicTimeZone, [.. record.Resources, .. history.Observations], decision);
    }

    private static ClinicEncounter Read(string example) =>
        EncounterReader.Read(File.ReadAllBytes(Repository.At("examples", "encounters", example + ".json")), new EncounterReaderOptions { AllowTestNhsNumbers = true }).Encounter
        ?? throw new InvalidDataException($"{example} is not read.");

    private static EarExamination Hole() => new()
    {
        Side = EarSide.Right,
        Before = new Otoscopy { Drum = new Drum { Visualised = DrumVisibility.Fully, Perforation = Sign.Present } },
    };

    private static EarExamination Wet(DischargeKind kind) => new() { Side = EarSide.Right, Before = Unseen, Discharge = new EarDischarge { Present = Answer.Yes, Kind = kind } };

    private static EarExamination Dry() => new() { Side = EarSide.Right, Before = Unseen, Discharge = new EarDischarge { Present = Answer.No } };

    private static EarExamination Irrigated() => new()
    {
        Side = EarSide.Right,
        Before = Unseen,
        Steps = [new ProcedureStep { Instrument = Instrument.ElectronicIrrigation, Result = StepResult.NotRemoved }],
        Outcome = new ProcedureOutcome { Result = OutcomeResult.Incomplete },
    };

    private static EarExamination Heard(int year, params int[] levels) => new()
    {
        Side = EarSide.Right,
        Before = Unseen,
        Hearing = new Hearing { Change = HearingChange.Sudden, OnsetDate = new PartialDate(2026, 3, 20) },
        Audiogram = new Audiogram
        {
            Sensorineural = Answer.Yes,
            MeasuredOn = new PartialDate(year, 3, 31),
            Thresholds = [.. levels.Select((level, index) => new Threshold { FrequencyHz = 1000 << index, Conduction = Conduction.Air, DecibelsHearingLevel = level })],
        },
    };
}
