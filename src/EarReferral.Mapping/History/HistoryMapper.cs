using System.Globalization;
using EarReferral.Encounters;
using EarReferral.Mapping.Codes;
using EarReferral.Mapping.Identity;
using EarReferral.Mapping.Record;
using EarReferral.Mapping.Referral;
using EarReferral.Triage.History;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.History;

/// <summary>Derived facts as Observations of this visit, each marked with the visits that it was taken from.</summary>
public static class HistoryMapper
{
    private static readonly Dictionary<string, Term> Terms =
        new[] { LocalCodes.DerivedThreshold, LocalCodes.DerivedDischargeRecurs, LocalCodes.DerivedPerforationFirstSeen, LocalCodes.DerivedIrrigationAttempts }
            .ToDictionary(term => term.Code, StringComparer.Ordinal);

    /// <summary>What a decision is told of earlier visits.</summary>
    /// <param name="facts">The facts; taken from the visits now, or as they were kept with an earlier decision.</param>
    /// <param name="now">The visit that is decided.</param>
    /// <param name="record">Its resources.</param>
    /// <param name="identity">Identities kept for it.</param>
    public static HistoryInput Input(IReadOnlyList<HistoryFact> facts, ClinicEncounter now, EncounterRecord record, EncounterIdentity identity)
    {
        if (facts.Count == 0)
        {
            return HistoryInput.None;
        }

        var frame = new ObservationFrame(identity, record.Patient, record.Encounter, record.Role, now);
        return new HistoryInput(facts, [.. facts.Select(fact => Map(fact, now, record, frame))]);
    }

    /// <summary>One fact in words, with its visits and what this visit says otherwise.</summary>
    public static string Words(HistoryFact fact)
    {
        var text = $"{BodySites.Words(ReferralMapper.Side(fact.Side))}: {Term(fact).Display["From earlier visits: ".Length..]}: {fact.Value.Text}. {From(fact)}";
        return fact.Contradiction is { } other ? $"{text} This visit says otherwise ({other.Finding.Replace('-', ' ')}: {other.Said}), and that was used." : text;
    }

    /// <summary>Role of the Observation among the resources of the visit.</summary>
    internal static string Role(string code, EarSide side, HistoryValue value) => string.Create(
        CultureInfo.InvariantCulture,
        $"observation/{Key(code, side, value)}");

    private static string Key(string code, EarSide side, HistoryValue value) => string.Create(
        CultureInfo.InvariantCulture,
        $"{ResourceStamp.Key(side)}/{code}{(value.Threshold is { } threshold ? $"/{threshold.FrequencyHz}" : string.Empty)}");

    private static Observation Map(HistoryFact fact, ClinicEncounter now, EncounterRecord record, ObservationFrame frame)
    {
        var (term, side) = (Term(fact), ReferralMapper.Side(fact.Side));
        var observation = frame.New(Key(fact.Code, side, fact.Value), term.Concept(term.Display), side, now.EvaluationInstant);

        // Nobody at this visit saw it: it is the clinic's record that says so.
        observation.Performer = [ResourceStamp.To(record.Clinic)];
        observation.Method = new CodeableConcept { Text = "Derived by the gateway from earlier visits to the same clinic" };
        observation.Extension = [.. fact.Sources.Select(source => new Extension(Canonicals.DerivedFromEncounter, new ResourceReference
        {
            Type = "Encounter",
            Identifier = new Identifier(Canonicals.ClinicNumbers(now.Clinic.Id, "encounter"), source.EncounterId),
            Display = Visit(source),
        }))];
        observation.DerivedFrom = [.. fact.Sources.Select(source => new ResourceReference
        {
            Type = "Observation",
            Identifier = new Identifier(Canonicals.ResourceIdentifier, source.ObservationId),
            Display = Visit(source),
        })];
        observation.Value = Value(fact.Value);
        if (fact.Value.Threshold is { } threshold)
        {
            observation.Effective = new FhirDateTime(threshold.MeasuredOn);
            observation.Component =
            [
                new Observation.ComponentComponent
                {
                    Code = LocalCodes.Frequency.Concept(),
                    Value = new Quantity { Value = threshold.FrequencyHz, Unit = Units.Hertz, System = CodeSystems.Ucum, Code = Units.Hertz },
                },
                new Observation.ComponentComponent { Code = LocalCodes.Conduction.Concept(), Value = CodeSystems.Concept(Conduction.Air) },
            ];
        }

        if (fact.Contradiction is { } other)
        {
            observation.Note = [new Annotation { Text = $"This visit says otherwise ({other.Finding}: {other.Said}); its word stands and this was not used." }];
        }

        return observation;
    }

    private static DataType Value(HistoryValue value) => value switch
    {
        { Answer: { } answer } => (answer ? Snomed.Present : Snomed.Absent).Concept(),
        { Date: { } date } => new FhirDateTime(date.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture)),
        { Count: { } count } => Units.Quantity(count, "1"),
        { Threshold: { } threshold } => Units.HearingLevel(threshold.DecibelsHearingLevel),
        _ => throw new ArgumentOutOfRangeException(nameof(value), "A derived fact without a value."),
    };

    private static string From(HistoryFact fact) => $"From {string.Join(" and ", fact.Sources.Select(Visit))}.";

    private static string Visit(HistorySource source) =>
        string.Create(CultureInfo.InvariantCulture, $"visit {source.EncounterId} of {source.At:yyyy-MM-dd} (revision {source.Revision})");

    private static Term Term(HistoryFact fact) => Terms[fact.Code];
}
