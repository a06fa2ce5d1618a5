using EarReferral.Triage.Decisions;
using EarReferral.Triage.Rules;
using Hl7.Fhir.Model;

namespace EarReferral.Triage.Evaluation;

/// <summary>Binds declared variables from the index; the fast path to what their published FHIRPath expressions say.</summary>
internal sealed class VariableBinder(RecordIndex index, DateTimeOffset evaluatedAt, TimeZoneInfo zone)
{
    /// <summary>Binds variables for one ear, or for the patient where there is no side.</summary>
    public IReadOnlyList<Fact> Bind(IEnumerable<Variable> variables, DecisionSide? ear)
    {
        var facts = new Dictionary<string, Fact>();
        var implied = new List<Variable>();
        foreach (var variable in variables)
        {
            var values = Values(variable, ear);
            facts[variable.Name] = ToFact(variable, values, ear);
            if (variable.FalseWith is not null && values.Count == 0)
            {
                implied.Add(variable);
            }
        }

        foreach (var variable in implied)
        {
            if (facts[variable.FalseWith!] is { Value: FhirBoolean { Value: false } } denied)
            {
                facts[variable.Name] = new Fact(variable, new FhirBoolean(false), denied.ObservationId);
            }
        }

        return [.. facts.Values];
    }

    /// <summary>What the record says about a variable, before it is computed or found contradictory.</summary>
    public IReadOnlyList<(object Value, string? ObservationId)> Values(Variable variable, DecisionSide? ear)
    {
        if (variable.Kind is VariableKind.Age)
        {
            return [.. index.BirthDates.Where(patient => patient.BirthDate is not null).Select(patient => ((object)patient.BirthDate!, (string?)null))];
        }

        var side = SideOf(variable.Level, ear);
        foreach (var code in variable.FindingCodes)
        {
            var observations = index.Find(code, side);
            var values = variable.Moment switch
            {
                OtoscopyMoment.None => Read(variable.Kind, observations),
                OtoscopyMoment.Before => Read(variable.Kind, observations.Where(observation => RecordIndex.IsAt(observation, "before"))),
                OtoscopyMoment.After => Read(variable.Kind, observations.Where(observation => RecordIndex.IsAt(observation, "after"))),
                OtoscopyMoment.Latest => Read(variable.Kind, observations.Where(observation => RecordIndex.IsAt(observation, "after"))) is [_, ..] after
                    ? after
                    : Read(variable.Kind, observations.Where(observation => RecordIndex.IsAt(observation, "before"))),
            };
            if (values.Count > 0)
            {
                return values;
            }
        }

        return [];
    }

    /// <summary>The ear that a variable is about, seen from the ear that a rule is asked for; null for the whole patient.</summary>
    public static DecisionSide? SideOf(VariableLevel level, DecisionSide? ear) => level switch
    {
        VariableLevel.Ear => ear,
        VariableLevel.OtherEar => ear is DecisionSide.Right ? DecisionSide.Left : DecisionSide.Right,
        VariableLevel.RightEar => DecisionSide.Right,
        VariableLevel.LeftEar => DecisionSide.Left,
        VariableLevel.Patient => null,
    };

    private Fact ToFact(Variable variable, IReadOnlyList<(object Value, string? ObservationId)> values, DecisionSide? ear)
    {
        switch (variable.Kind)
        {
            case VariableKind.AudiogramWorseRun:
                return new Fact(variable, AudiogramComparison.WorseRun(index, SideOf(variable.Level, ear)));
            case VariableKind.AudiogramAsymmetry:
                return new Fact(variable, AudiogramComparison.Asymmetry(index));
            case VariableKind.Boolean or VariableKind.Code or VariableKind.Text or VariableKind.Quantity or VariableKind.DaysSince or VariableKind.HoursSince or VariableKind.Age:
                break;
        }

        // Two answers to one question contradict each other or repeat each other; either way nobody can tell which holds.
        if (values is not [var (value, id)])
        {
            return new Fact(variable, null);
        }

        return variable.Kind switch
        {
            VariableKind.Boolean => new Fact(variable, new FhirBoolean((bool)value), id),
            VariableKind.Code or VariableKind.Text => new Fact(variable, new FhirString((string)value), id),
            VariableKind.Quantity => new Fact(variable, new FhirDecimal((decimal)value), id),
            VariableKind.DaysSince or VariableKind.HoursSince or VariableKind.Age => ToElapsed(variable, (string)value, id),
            VariableKind.AudiogramWorseRun or VariableKind.AudiogramAsymmetry => new Fact(variable, null),
        };
    }

    private Fact ToElapsed(Variable variable, string text, string? id)
    {
        if (RecordedTime.Read(text, zone) is not { } time || time.Earliest > evaluatedAt)
        {
            return new Fact(variable, null, id);
        }

        (PrimitiveType longest, PrimitiveType shortest) = variable.Kind switch
        {
            VariableKind.HoursSince => ((PrimitiveType)Hours(time.Earliest), (PrimitiveType)Hours(time.Latest)),
            VariableKind.Age => (Years(time.Earliest), Years(time.Latest)),
            _ => (Days(time.Earliest), Days(time.Latest)),
        };
        return new Fact(variable, longest, id, longest.Matches(shortest) ? null : shortest);
    }

    private DateTimeOffset NotAfterDecision(DateTimeOffset instant) => instant > evaluatedAt ? evaluatedAt : instant;

    private FhirDecimal Hours(DateTimeOffset since) => new((decimal)(evaluatedAt - NotAfterDecision(since)).Ticks / TimeSpan.TicksPerHour);

    private Integer Days(DateTimeOffset since) => new(ClinicDate(evaluatedAt).DayNumber - ClinicDate(NotAfterDecision(since)).DayNumber);

    private Integer Years(DateTimeOffset since)
    {
        var birth = ClinicDate(NotAfterDecision(since));
        var today = ClinicDate(evaluatedAt);
        var years = today.Year - birth.Year;
        return new Integer((today.Month, today.Day).CompareTo((birth.Month, birth.Day)) < 0 ? years - 1 : years);
    }

    private DateOnly ClinicDate(DateTimeOffset instant) => DateOnly.FromDateTime(TimeZoneInfo.ConvertTime(instant, zone).DateTime);

    private static List<(object Value, string? ObservationId)> Read(VariableKind kind, IEnumerable<Observation> observations)
    {
        var values = new List<(object, string?)>();
        foreach (var observation in observations)
        {
            switch (kind, observation.Value)
            {
                case (VariableKind.Boolean, CodeableConcept concept):
                    values.AddRange(concept.Coding.Where(coding => coding.System == RuleVocabulary.Snomed)
                        .Where(coding => coding.Code is RuleVocabulary.Present or RuleVocabulary.Absent)
                        .Select(coding => ((object)(coding.Code == RuleVocabulary.Present), (string?)observation.Id)));
                    break;
                case (VariableKind.Code, CodeableConcept concept):
                    values.AddRange(concept.Coding
                        .Where(coding => coding.Code is not null && coding.System?.StartsWith(RuleVocabulary.OwnCodeSystems, StringComparison.Ordinal) is true)
                        .Select(coding => ((object)coding.Code!, (string?)observation.Id)));
                    break;
                case (VariableKind.Text, FhirString { Value: { } text }):
                    values.Add((text, observation.Id));
                    break;
                case (VariableKind.Quantity, Quantity { Value: { } number, System: RuleVocabulary.Ucum }):
                    values.Add((number, observation.Id));
                    break;
                case (VariableKind.DaysSince or VariableKind.HoursSince, FhirDateTime { Value: { } text }):
                    values.Add((text, observation.Id));
                    break;
            }
        }

        return values;
    }
}
