using EarReferral.Storage.Encounters;
using EarReferral.Storage.Referrals;
using EarReferral.Storage.Tests.Databases;
using Task = System.Threading.Tasks.Task;

namespace EarReferral.Storage.Tests.Referrals;

public sealed class LaterVisitOnSqliteTests() : LaterVisitTests(DatabaseKind.Sqlite);

public sealed class LaterVisitOnPostgreSqlTests() : LaterVisitTests(DatabaseKind.PostgreSql);

/// <summary>A visit that is tied to the referral of an earlier one, and what happens when that one is over meanwhile.</summary>
public abstract class LaterVisitTests(DatabaseKind kind) : StoreContract(kind)
{
    private static readonly DateTimeOffset Now = Sample.Received.AddHours(1);

    [Fact]
    public async Task OpenReferral_IsSeenByAnotherVisitOfThePatientAtTheClinicOnly()
    {
        await OpenAsync();

        var seen = Assert.Single(await OpenForAsync(Sample.Key(2, 1, Sample.Clinic), encounter: 2));
        Assert.Equal(("referral-1", "T2", "R-CA-05/left", false), (seen.ReferralId, seen.Tier, Assert.Single(seen.Concerns), seen.IsKept));
        Assert.Empty(await OpenForAsync(Sample.Key(2, 1, Sample.Clinic), encounter: 1));
        Assert.Empty(await OpenForAsync(Sample.Key(2, 2, Sample.Clinic), encounter: 2));
        Assert.Empty(await Store.Referrals.OpenForAsync("another-clinic", Sample.Key(2, 1, Sample.Clinic), Sample.Key(1, 2, Sample.Clinic), Stop));
    }

    [Fact]
    public async Task ReferralThatIsOver_IsNotOpenAndTakesNoVisit()
    {
        await OpenAsync();
        await Store.Encounters.SaveAsync(Sample.Encounter(revision: 2, content: "withdrawn", resources: [Sample.Procedure("a", null)]), Stop);

        Assert.Empty(await OpenForAsync(Sample.Key(2, 1, Sample.Clinic), encounter: 2));
        Assert.IsType<SaveOutcome.OpenReferralChanged>(await TieAsync());
        Assert.Null(await Store.Encounters.FindAsync(new Reach.Everything("test"), Sample.Key(1, 2, Sample.Clinic), Stop));
    }

    [Fact]
    public async Task TiedVisit_StaysTiedWhenTheReferralIsOverAndIsUntiedByARevisionWithoutTie()
    {
        await OpenAsync();
        Assert.IsType<SaveOutcome.Saved>(await TieAsync());
        await Store.Encounters.SaveAsync(Sample.Encounter(revision: 2, content: "withdrawn", resources: [Sample.Procedure("a", null)]), Stop);

        Assert.True(Assert.Single(await OpenForAsync(Sample.Key(2, 1, Sample.Clinic), encounter: 2)).IsKept);
        Assert.IsType<SaveOutcome.Saved>(await TieAsync(revision: 2, isKept: true));
        Assert.IsType<SaveOutcome.Saved>(await Store.Encounters.SaveAsync(Sample.Encounter(2, 3, content: "third", resources: [Sample.Procedure("b", null)]), Stop));

        Assert.Empty(await OpenForAsync(Sample.Key(2, 1, Sample.Clinic), encounter: 2));
        Assert.Equal(["later-visit", "withdrawn", "later-visit", "later-visit-taken-back"], (await Store.Referrals.TimelineAsync(new Reach.Everything("test"), "referral-1", Stop)).Select(line => line.Kind).Skip(1));
    }

    [Fact]
    public async Task ReplacedReferral_NamesItsSuccessorAndTakesNoOtherVisit()
    {
        await OpenAsync();

        Assert.IsType<SaveOutcome.Saved>(await TieAsync(replacedBy: "referral-2"));

        Assert.Equal("referral-2", (await Store.Referrals.FindAsync(new Reach.Everything("test"), "referral-1", Stop))!.ReplacedBy);
        Assert.Empty(await OpenForAsync(Sample.Key(2, 1, Sample.Clinic), encounter: 3));
    }

    private async Task OpenAsync() => Assert.IsType<SaveOutcome.Saved>(
        await Store.Encounters.SaveAsync(Sample.Encounter(referral: Sample.Referral(), resources: [Sample.Procedure("a", null)]), Stop));

    private Task<IReadOnlyList<OpenReferral>> OpenForAsync(Guid patient, int encounter) =>
        Store.Referrals.OpenForAsync(Sample.Clinic, patient, Sample.Key(1, encounter, Sample.Clinic), Stop);

    private Task<SaveOutcome> TieAsync(int revision = 1, bool isKept = false, string? replacedBy = null) => Store.Encounters.SaveAsync(
        Sample.Encounter(2, revision, content: $"revision {revision}", resources: [Sample.Procedure("b", null)]) with
        {
            LaterVisit = new LaterVisitTie("referral-1", isKept, replacedBy, new ReferralEvent(Now, "later-visit", "gateway"), null),
        },
        Stop);
}
