using EarReferral.Encounters;
using EarReferral.Encounters.Reading;
using EarReferral.Mapping.Record;
using EarReferral.Mapping.Referral;
using EarReferral.Mapping.Summary;
using EarReferral.Testing;
using EarReferral.Triage.Decisions;
using EarReferral.Triage.Evaluation;
using EarReferral.Triage.Rules;
using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Tests.Support;

/// <summary>The committed example visits, taken through reading, mapping and the committed rules.</summary>
internal static class ExampleVisits
{
    private static readonly Lazy<RuleBook> Rules = new(() => RuleBook.Load(
        Directory.EnumerateFiles(Repository.At("profiles", "rules"), "*.json").Select(path => (Path.GetFileName(path), File.ReadAllBytes(path)))));

    /// <summary>The committed rules.</summary>
    public static RuleBook Book => Rules.Value;

    public static IReadOnlyList<string> Names { get; } =
        [.. Directory.EnumerateFiles(Repository.At("examples", "encounters"), "*.json").Select(path => Path.GetFileNameWithoutExtension(path)!).Order(StringComparer.Ordinal)];

    public static Outcome Run(string name)
    {
        var reading = EncounterReader.Read(
            File.ReadAllBytes(Repository.At("examples", "encounters", name + ".json")),
            new EncounterReaderOptions { AllowTestNhsNumbers = true });
        Assert.Empty(reading.Problems);
        var visit = reading.Encounter!;
        var record = Visits.Record(visit);
        var decision = TriageEngine.Decide(Rules.Value, record.Resources, visit.EvaluationInstant, TimeZoneInfo.FindSystemTimeZoneById(visit.ClinicTimeZone));
        var referral = ReferralMapper.Map(visit, record, decision, Visits.Identity, Decisions.Ent);
        return new Outcome(visit, record, decision, referral, SummaryMapper.Map(visit, record, decision, referral, Visits.Identity));
    }

    public sealed record Outcome(ClinicEncounter Visit, EncounterRecord Record, TriageDecision Decision, ReferralResources? Referral, Composition Summary)
    {
        public IReadOnlyList<Resource> Resources => [.. Record.Resources, .. Referral?.Resources ?? [], Summary];

        /// <summary>What leaves the clinic: the referral where there is one, otherwise the summary as a document.</summary>
        public Bundle Bundle => Referral is null ? DocumentBundle.Build(Record, null, Summary) : ReferralBundle.Build(Record, Referral, Summary);
    }
}
