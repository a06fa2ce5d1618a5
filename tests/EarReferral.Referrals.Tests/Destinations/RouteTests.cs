using EarReferral.Referrals.Destinations;

namespace EarReferral.Referrals.Tests.Destinations;

public sealed class RouteTests
{
    private static readonly IReadOnlyList<Route> Directory =
    [
        new("westerquay-children", [], ["T0", "T1"], AgeGroup.Child, [], [], []),
        new("millrace-surgery", [], [], null, [], ["MRS42"], ["gp"]),
        new("westerquay-balance", ["harbour-lane"], [], null, ["vertigo-persistent"], [], []),
    ];

    [Theory]
    [InlineData("T1", AgeGroup.Child, "sudden-hearing-loss", "ent", "harbour-lane", "westerquay-children")]
    [InlineData("T1", AgeGroup.Adult, "sudden-hearing-loss", "ent", "harbour-lane", "westerquay-ent")] // nobody else's case
    [InlineData("T3", AgeGroup.Child, "sudden-hearing-loss", "ent", "harbour-lane", "westerquay-ent")] // tier is not theirs
    [InlineData("T2", AgeGroup.Adult, "otitis-externa", "gp", "harbour-lane", "millrace-surgery")] // the rule names the GP
    [InlineData("T2", AgeGroup.Adult, "otitis-externa", "gp", "harbour-lane", "westerquay-ent", "QXT07")] // another practice's patient
    [InlineData("T2", AgeGroup.Adult, "otitis-externa", "gp", "harbour-lane", "westerquay-ent", null)] // no practice is known
    [InlineData("T3", AgeGroup.Adult, "vertigo-persistent", "ent", "harbour-lane", "westerquay-balance")]
    [InlineData("T3", AgeGroup.Adult, "vertigo-persistent", "ent", "other-clinic", "westerquay-ent")]
    public void Case_GoesToTheFirstLineThatTakesIt(string tier, AgeGroup age, string reason, string receiver, string clinic, string destination, string? practice = "MRS42") =>
        Assert.Equal(destination, Route.Choose(Directory, new RoutedCase(clinic, tier, age, [reason], practice, [receiver]), "westerquay-ent"));
}
