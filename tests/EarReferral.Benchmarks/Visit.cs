using System.Text;
using EarReferral.Encounters.Reading;
using EarReferral.Mapping.Identity;
using EarReferral.Mapping.Record;
using EarReferral.Mapping.Referral;
using EarReferral.Mapping.Summary;
using EarReferral.Testing;
using EarReferral.Triage.Evaluation;
using EarReferral.Triage.Rules;
using Hl7.Fhir.Model;

namespace EarReferral.Benchmarks;

/// <summary>Example 09 as the gateway makes it: the record and the outgoing transaction.</summary>
internal sealed record Visit(IReadOnlyList<Resource> Record, Bundle Transaction)
{
    private static readonly byte[] Document = File.ReadAllBytes(Repository.At("examples", "encounters", "09-sudden-loss-12-days.json"));

    /// <summary>The visit with other identities and another encounter number, at another hour.</summary>
    public static Visit Another(RuleBook rules, int number)
    {
        var text = Encoding.UTF8.GetString(Document)
            .Replace("2026-03-31T14", $"2026-03-31T{7 + (number % 12):00}", StringComparison.Ordinal)
            .Replace("HL-2026-0331-09", $"HL-2026-0331-{number}", StringComparison.Ordinal);
        var encounter = EncounterReader.Read(number == 0 ? Document : Encoding.UTF8.GetBytes(text), new EncounterReaderOptions { AllowTestNhsNumbers = true }).Encounter ?? throw new InvalidDataException("The example is not read.");
        var identity = new EncounterIdentity(Seed(number, 1), Seed(number, 2), Seed(number, 3), Seed(0, 4));
        var record = RecordMapper.Map(encounter, identity, MappingContext.BritishEnglish);
        var decision = TriageEngine.Decide(rules, record.Resources, encounter.EvaluationInstant, TimeZoneInfo.FindSystemTimeZoneById(encounter.ClinicTimeZone));
        var referral = ReferralMapper.Map(encounter, record, decision, identity, new ReferralDestination(DestinationKind.Ent, "WQG07", "Westerquay General, ENT department")) ?? throw new InvalidDataException("The example has no referral.");
        var summary = SummaryMapper.Map(encounter, record, decision, referral, identity);
        return new Visit([.. record.Resources, .. referral.Resources, summary], ReferralBundle.Build(record, referral, summary));
    }

    private static Guid Seed(int number, byte role) => new(number, 0, 0x4000, 0x80, 0, 0, 0, 0, 0, 0, role);
}
