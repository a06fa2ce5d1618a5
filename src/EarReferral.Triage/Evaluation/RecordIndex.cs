using EarReferral.Triage.Decisions;
using EarReferral.Triage.Rules;
using Hl7.Fhir.Model;

namespace EarReferral.Triage.Evaluation;

/// <summary>The Observations of one record, found by finding code and side; built once per decision.</summary>
internal sealed class RecordIndex
{
    private readonly Dictionary<(string Code, DecisionSide? Side), List<Observation>> observations = [];

    public RecordIndex(IReadOnlyList<Resource> record)
    {
        foreach (var resource in record)
        {
            switch (resource)
            {
                case Observation observation:
                    Add(observation);
                    break;
                case Patient patient:
                    BirthDates = [.. BirthDates, patient];
                    break;
            }
        }
    }

    /// <summary>The patients of the record; more than one makes every age unknown.</summary>
    public IReadOnlyList<Patient> BirthDates { get; } = [];

    /// <summary>Whether the record says anything at all about an ear.</summary>
    public bool HasEar(DecisionSide side) => observations.Keys.Any(key => key.Side == side);

    /// <summary>Observations of a finding at a side, or of the patient as a whole.</summary>
    public IReadOnlyList<Observation> Find(string code, DecisionSide? side) =>
        observations.TryGetValue((code, side), out var found) ? found : [];

    /// <summary>Whether an otoscopy finding belongs to a moment.</summary>
    public static bool IsAt(Observation observation, string moment) =>
        observation.Category.Exists(category => category.Coding.Exists(coding => coding.System == RuleVocabulary.ExaminationMoments && coding.Code == moment));

    private void Add(Observation observation)
    {
        var side = SideOf(observation);
        foreach (var coding in observation.Code?.Coding ?? [])
        {
            if (coding.System == RuleVocabulary.Findings && coding.Code is { } code)
            {
                if (!observations.TryGetValue((code, side), out var list))
                {
                    observations[(code, side)] = list = [];
                }

                list.Add(observation);
            }
        }
    }

    private static DecisionSide? SideOf(Observation observation)
    {
        foreach (var coding in observation.BodySite?.Coding ?? [])
        {
            if (coding.System == RuleVocabulary.Snomed)
            {
                switch (coding.Code)
                {
                    case RuleVocabulary.RightEar: return DecisionSide.Right;
                    case RuleVocabulary.LeftEar: return DecisionSide.Left;
                }
            }
        }

        return null;
    }
}
