using EarReferral.Storage.Encounters;
using EarReferral.Storage.Identity;
using EarReferral.Storage.Tests.Databases;
using Hl7.Fhir.Model;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Storage.Tests.Encounters;

public sealed class HistoryStoreOnSqliteTests() : HistoryStoreTests(DatabaseKind.Sqlite);

public sealed class HistoryStoreOnPostgreSqlTests() : HistoryStoreTests(DatabaseKind.PostgreSql);

/// <summary>Which earlier visits a decision may rest on, by the rule of decision 0015 within one clinic.</summary>
public abstract class HistoryStoreTests(DatabaseKind kind) : StoreContract(kind)
{
    private const string X = "9990000018";
    private const string Y = "9990000026";
    private const string Born = "1957-04-02";

    private static readonly DateTimeOffset Today = new(2026, 3, 31, 9, 0, 0, TimeSpan.Zero);

    [Fact]
    public async Task Visits_UnderThePatientIdOfTheClinic_AreGivenOldestFirst()
    {
        await SaveAsync(new Visit("V2", "P1", 10));
        await SaveAsync(new Visit("V1", "P1", 20));
        await SaveAsync(new Visit("V0", "P2", 20));

        Assert.Equal(["V1", "V2"], await EarlierAsync("P1", null));
    }

    [Fact]
    public async Task Visits_UnderAnotherIdWithTheSameNumberAndBirthDate_AreThePatientsToo()
    {
        await SaveAsync(new Visit("V1", "P1", 20) { Number = X });
        await SaveAsync(new Visit("V2", "P2", 10) { Number = X });

        Assert.Equal(["V1", "V2"], await EarlierAsync("P3", X));
        Assert.Empty(await EarlierAsync("P3", Y));
    }

    [Fact]
    public async Task VisitsOfAnotherClinic_AreNeverGiven()
    {
        await SaveAsync(new Visit("V1", "P1", 20) { Number = X, Clinic = "quayside" });

        Assert.Empty(await EarlierAsync("P1", X));
    }

    [Fact]
    public async Task RetractedVisit_IsNeverGiven()
    {
        await SaveAsync(new Visit("V1", "P1", 20));
        await SaveAsync(new Visit("V2", "P1", 10));
        await RetractAsync(new Visit("V1", "P1", 20));

        Assert.Equal(["V2"], await EarlierAsync("P1", null));
    }

    [Fact]
    public async Task RevisionInQuarantine_SaysNothingAndTheOneBeforeStands()
    {
        await SaveAsync(new Visit("V1", "P1", 20));
        await SaveAsync(new Visit("V1", "P1", 20) { Revision = 2, State = StoredEncounter.Quarantined });
        await SaveAsync(new Visit("V2", "P1", 10) { State = StoredEncounter.Quarantined });

        var earlier = await Store.Histories.EarlierAsync(Question("P1", null), Stop);

        Assert.Equal(("V1", 1), (Assert.Single(earlier.Encounters).ClinicEncounterId, earlier.Encounters[0].Revision));
    }

    [Theory]
    [InlineData(X, "1975-04-02", "the number is another birth date's")]
    [InlineData(Y, Born, "one patient id of the clinic with two numbers")]
    public async Task PatientWhoIsNotSettled_HasNoHistory(string number, string birthDate, string why)
    {
        await SaveAsync(new Visit("V1", "P1", 20) { Number = X });

        var earlier = await Store.Histories.EarlierAsync(Question("P1", number) with { Patient = new PatientLink(number, true, birthDate) }, Stop);

        Assert.True(earlier is { IsWithheld: true, Encounters.Count: 0 }, why);
    }

    [Fact]
    public async Task LateEarlierVisit_PutsTheLaterOneUpForReview()
    {
        await SaveAsync(new Visit("V2", "P1", 10));
        Assert.Empty(await ReviewsAsync());

        await SaveAsync(new Visit("V1", "P1", 20));

        Assert.Equal(["V2 because of V1"], await ReviewsAsync());
    }

    [Fact]
    public async Task AmendedOrRetractedEarlierVisit_PutsTheLaterOneUpForReview_AndItsOwnCorrectionEndsThat()
    {
        await SaveAsync(new Visit("V1", "P1", 20));
        await SaveAsync(new Visit("V2", "P1", 10) { Basis = [(new Visit("V1", "P1", 20), 1)] });
        Assert.Empty(await ReviewsAsync());

        await SaveAsync(new Visit("V1", "P1", 20) { Revision = 2 });
        Assert.Equal(["V2 because of V1"], await ReviewsAsync());
        await SaveAsync(new Visit("V2", "P1", 10) { Revision = 2, Basis = [(new Visit("V1", "P1", 20), 2)] });
        Assert.Empty(await ReviewsAsync());
        await RetractAsync(new Visit("V1", "P1", 20) { Revision = 2 });
        Assert.Equal(["V2 because of V1"], await ReviewsAsync());
    }

    [Fact]
    public async Task VisitDecidedWhileAnEarlierOneWasStored_IsUpForReviewItself()
    {
        await SaveAsync(new Visit("V1", "P1", 20));
        await SaveAsync(new Visit("V2", "P1", 10) { Basis = [] });

        Assert.Equal(["V2 because of V1"], await ReviewsAsync());
    }

    [Fact]
    public async Task PatientWhoWasMixedUp_ReleasesWhatWasDecidedOnTheFormerOne()
    {
        await SaveAsync(new Visit("V1", "P1", 20) { Number = X });
        await SaveAsync(new Visit("V2", "P2", 10) { Number = X });
        Assert.Empty(await ReviewsAsync());

        await SaveAsync(new Visit("V1", "P1", 20) { Number = Y, Revision = 2 });

        Assert.Equal(["V2 because of V1"], await ReviewsAsync());
        Assert.Equal(["V2"], await EarlierAsync("P2", null));
    }

    [Fact]
    public async Task Settling_KeepsWhatDiffersAndEndsWhatDoesNot()
    {
        await SaveAsync(new Visit("V2", "P1", 10));
        await SaveAsync(new Visit("V3", "P1", 5));
        await SaveAsync(new Visit("V1", "P1", 20));
        var reviews = await Store.Histories.ReviewsAsync(Everything, Stop);

        await Store.Histories.SettleAsync(reviews[0], "differs", Stop);
        await Store.Histories.SettleAsync(reviews[1], null, Stop);

        Assert.Equal("differs", Assert.Single(await Store.Histories.ReviewsAsync(Everything, Stop)).Finding);
        Assert.Empty(await Store.Histories.ReviewsAsync(new Reach.Clinic("quayside"), Stop));
    }

    private async Task<List<string>> EarlierAsync(string patient, string? number) =>
        [.. (await Store.Histories.EarlierAsync(Question(patient, number), Stop)).Encounters.Select(visit => visit.ClinicEncounterId)];

    private async Task<List<string>> ReviewsAsync()
    {
        var lines = new List<string>();
        foreach (var review in await Store.Histories.ReviewsAsync(Everything, Stop))
        {
            lines.Add($"{(await Store.Encounters.FindAsync(Everything, review.EncounterKey, Stop))!.ClinicEncounterId} because of {review.Cause}");
        }

        return lines;
    }

    private static HistoryQuestion Question(string patient, string? number) => new(Sample.Clinic, patient, "today", new PatientLink(number, true, Born), Today);

    private async Task SaveAsync(Visit visit)
    {
        var basis = new List<HistoryBasis>();
        foreach (var (of, revision) in visit.Basis ?? [])
        {
            basis.Add(new HistoryBasis((await SeedsAsync(of)).Encounter, revision));
        }

        var made = await RevisionAsync(visit);
        Assert.IsType<SaveOutcome.Saved>(await Store.Encounters.SaveAsync(
            made with
            {
                State = visit.State,
                Resources = visit.State == StoredEncounter.Quarantined ? [] : [Sample.Procedure(made.EncounterKey.ToString(), null)],
                NhsNumber = new PatientLink(visit.Number, true, Born),
                HistoryBasis = visit.Basis is null ? null : basis,
            },
            Stop));
    }

    private async Task RetractAsync(Visit visit) => Assert.IsType<SaveOutcome.Saved>(await Store.Encounters.SaveAsync(
        await RevisionAsync(visit with { Revision = visit.Revision + 1 }) with { State = StoredEncounter.Retracted, Retraction = new Provenance { Id = Guid.CreateVersion7().ToString() } },
        Stop));

    private async Task<EncounterRevision> RevisionAsync(Visit visit)
    {
        var seeds = await SeedsAsync(visit);
        return Sample.Encounter(1, visit.Revision, visit.Clinic, content: $"{visit}") with
        {
            EncounterKey = seeds.Encounter,
            ClinicEncounterId = visit.Id,
            PatientKey = seeds.Patient,
            EvaluatedAt = Today.AddDays(-visit.DaysAgo),
            ReceivedAt = Today.AddMinutes(visit.Revision),
        };
    }

    private Task<IdentitySeeds> SeedsAsync(Visit visit) => Store.Identities.ResolveAsync(visit.Clinic, visit.Id, visit.Patient, "someone", Stop);

    private sealed record Visit(string Id, string Patient, int DaysAgo)
    {
        public string Clinic { get; init; } = Sample.Clinic;

        public string? Number { get; init; }

        public int Revision { get; init; } = 1;

        public string State { get; init; } = "triaged";

        public (Visit Of, int Revision)[]? Basis { get; init; }
    }
}
