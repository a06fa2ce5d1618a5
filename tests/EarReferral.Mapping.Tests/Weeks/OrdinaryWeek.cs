using System.Globalization;
using System.Text;
using System.Text.Json.Nodes;
using EarReferral.Testing;

namespace EarReferral.Mapping.Tests.Weeks;

/// <summary>A week of visits of a busy clinic, generated from a seed. The mix is invented: no source counts such visits.</summary>
/// <remarks>
/// Every visit records what a clinician writes down anyway: how hearing is, what was seen before and after, what was done. Whatever else is
/// asked is either left out, or covered by the minimum screen with the groups named that do not apply.
/// </remarks>
internal static class OrdinaryWeek
{
    private const int Seed = 20260331;

    private static readonly string[] Asked = ["background", "general", "vertigo", "neurology", "headAndNeck", "headInjury", "tinnitusDistress", "hearingConcern", "earlierCare", "complications", "advice"];
    private static readonly string[] AskedOfEar = ["tinnitus", "pain", "discharge", "history", "softenerBefore", "foreignBody", "trauma", "movement", "complications"];

    /// <summary>Kinds of visits with how many of a thousand they are.</summary>
    public static IReadOnlyList<VisitKind> Kinds { get; } =
    [
        new("wax, removed without trouble", 790, _ => { }, []),
        new("nothing to remove, ears seen in full", 60, visit => NothingDone(visit), []),
        new("ringing in the ears for months", 40, visit => Ear(visit)["tinnitus"] = Object("{\"present\":\"yes\",\"persistent\":\"yes\",\"pulsatile\":\"no\",\"suddenOnset\":\"no\",\"objective\":\"no\",\"changed\":\"no\"}"), ["hearingAndTinnitus"]),
        new("wax left, not all could be removed", 30, visit => Incomplete(visit), []),
        new("infected canal, painful for four days", 30, visit => Infected(visit), ["painAndDischarge"]),
        new("dizzy on turning in bed", 15, visit => visit["vertigo"] = Object("{\"present\":\"yes\",\"suddenOnset\":\"no\",\"recurrent\":\"yes\",\"gaitUnsteady\":\"no\",\"nauseaOrVomiting\":\"no\",\"nystagmus\":\"none\",\"positionalTest\":\"positive\",\"hintsTrained\":\"no\"}"), ["balance"]),
        new("dry hole in the drum, known for years", 15, visit => Hole(visit), ["earlierEarTrouble"]),
        new("hearing lost suddenly eight days ago, unexplained", 5, visit => Sudden(visit), ["hearingAndTinnitus"]),
        new("keratin in the attic", 5, visit => { foreach (var look in Looks(visit)) { look["atticCrust"] = "present"; } }, []),
        new("stopped because it hurt", 10, visit => Stopped(visit), ["afterProcedure"]),
    ];

    /// <summary>The visits of the week, each as its clinic would post it.</summary>
    /// <param name="count">How many.</param>
    /// <param name="screened">Whether the minimum screen was gone through.</param>
    public static IEnumerable<(VisitKind Kind, byte[] Document)> Visits(int count, bool screened)
    {
        var random = new Random(Seed);
        var example = JsonNode.Parse(File.ReadAllText(Repository.At("examples", "encounters", "01-soft-wax-both-ears.json")))!.AsObject();
        for (var number = 1; number <= count; number++)
        {
            var kind = Draw(number * 1000 / count - 1);
            var visit = example.DeepClone().AsObject();
            visit["encounterId"] = string.Create(CultureInfo.InvariantCulture, $"week-{number}");
            visit["patient"]!["birthDate"] = string.Create(CultureInfo.InvariantCulture, $"{random.Next(1936, 2004)}-{random.Next(1, 13):00}-{random.Next(1, 29):00}");
            Reduce(visit, oneEar: random.Next(2) == 0, changed: random.Next(10) < 7);
            kind.Change(visit);
            if (screened)
            {
                visit["screening"] = new JsonObject
                {
                    ["screen"] = "earCareMinimum",
                    ["version"] = 1,
                    ["noneOfThese"] = "yes",
                    ["except"] = new JsonArray([.. kind.Except.Select(group => JsonValue.Create(group))]),
                    ["person"] = "Siân Llewellyn-Ådahl",
                    ["at"] = "2026-03-31T09:30:00+01:00",
                };
            }

            yield return (kind, Encoding.UTF8.GetBytes(visit.ToJsonString()));
        }
    }

    private static VisitKind Draw(int ticket)
    {
        // Every kind comes exactly as often as it says; only age, ears and hearing are drawn.
        foreach (var kind in Kinds)
        {
            if (ticket < kind.OfThousand)
            {
                return kind;
            }

            ticket -= kind.OfThousand;
        }

        throw new ArgumentOutOfRangeException(nameof(ticket));
    }

    private static void Reduce(JsonObject visit, bool oneEar, bool changed)
    {
        foreach (var block in Asked)
        {
            visit.Remove(block);
        }

        var ears = visit["ears"]!.AsArray();
        if (oneEar)
        {
            ears.RemoveAt(1);
        }

        foreach (var ear in ears.Select(each => each!.AsObject()))
        {
            foreach (var block in AskedOfEar)
            {
                ear.Remove(block);
            }

            ear["hearing"] = changed
                ? Object("{\"change\":\"gradual\",\"onsetDate\":\"2026-01\",\"explainedByOuterOrMiddleEar\":\"yes\",\"acquired\":\"yes\",\"before\":\"reduced\",\"after\":\"normal\"}")
                : Object("{\"change\":\"none\",\"before\":\"normal\",\"after\":\"normal\"}");
            ear["complications"] = Object("{\"newPerforation\":\"absent\"}");
        }
    }

    private static void NothingDone(JsonObject visit)
    {
        foreach (var ear in visit["ears"]!.AsArray().Select(each => each!.AsObject()))
        {
            ear["before"] = ear["after"]!.DeepClone();
            ear["before"]!["at"] = "2026-03-31T09:12:00+01:00";
            foreach (var member in (string[])["after", "deposits", "steps", "outcome", "complications"])
            {
                ear.Remove(member);
            }

            ear["hearing"] = Object("{\"change\":\"none\",\"before\":\"normal\"}");
        }
    }

    private static void Incomplete(JsonObject visit)
    {
        var ear = Ear(visit);
        var drum = ear["after"]!["drum"]!.AsObject();
        drum.Clear();
        drum["visualised"] = "partly";
        ear["outcome"] = Object("{\"result\":\"incomplete\",\"left\":[{\"material\":\"wax\",\"at\":{\"part\":\"canalBonyPart\"},\"onPurpose\":false}]}");
        ear["hearing"]!["after"] = "same";
    }

    private static void Infected(JsonObject visit)
    {
        var ear = Ear(visit);
        ear["pain"] = Object("{\"present\":\"yes\",\"startDate\":\"2026-03-27\",\"severity\":\"moderate\",\"nocturnalSevere\":\"no\",\"outOfProportion\":\"no\"}");
        ear["discharge"] = Object("{\"present\":\"yes\",\"kind\":\"purulent\",\"recurs\":\"no\"}");
        ear["before"]!["canal"]!["outerEarInfection"] = "present";
        ear["after"]!["canal"]!["outerEarInfection"] = "present";
    }

    private static void Hole(JsonObject visit)
    {
        var ear = Ear(visit);
        ear["history"] = Object("{\"earSurgery\":\"no\",\"grommet\":\"never\",\"perforationKnown\":\"yes\",\"perforationHealed\":\"no\",\"onlyHearingEar\":\"no\",\"earlierIrrigationProblem\":\"no\",\"acuteMiddleEarInfection\":\"no\"}");
        var drum = ear["after"]!["drum"]!;
        drum["intact"] = "absent";
        drum["perforation"] = "present";
    }

    private static void Sudden(JsonObject visit)
    {
        var ear = Ear(visit);
        ear["hearing"] = Object("{\"change\":\"sudden\",\"onsetDate\":\"2026-03-23\",\"developedOverDays\":1,\"explainedByOuterOrMiddleEar\":\"no\",\"acquired\":\"yes\",\"before\":\"reduced\",\"after\":\"same\",\"fluctuates\":\"no\",\"ongoing\":\"no\"}");
        ear["tinnitus"] = Object("{\"present\":\"no\"}");
    }

    private static void Stopped(JsonObject visit)
    {
        var ear = Ear(visit);
        ear["outcome"] = Object("{\"result\":\"abandoned\",\"stopReason\":\"pain\",\"left\":[{\"material\":\"wax\",\"at\":{\"part\":\"canalBonyPart\"},\"onPurpose\":false}]}");
        ear["complications"] = Object("{\"bleeding\":\"none\",\"pain\":\"moderate\",\"newPerforation\":\"absent\",\"tinnitusNewOrLouder\":\"no\"}");
        visit["complications"] = Object("{\"vertigo\":\"none\",\"faint\":\"no\",\"fall\":\"no\",\"headStrike\":\"no\",\"newFacialWeakness\":\"no\"}");
    }

    private static JsonObject Ear(JsonObject visit) => visit["ears"]![0]!.AsObject();

    private static IEnumerable<JsonNode> Looks(JsonObject visit) => [Ear(visit)["after"]!["drum"]!];

    private static JsonObject Object(string json) => JsonNode.Parse(json)!.AsObject();
}

/// <summary>A kind of visit.</summary>
/// <param name="Name">What it is.</param>
/// <param name="OfThousand">How many of a thousand visits are such; invented.</param>
/// <param name="Change">What is different from a wax removal without trouble.</param>
/// <param name="Except">Groups of the screen that do not apply.</param>
internal sealed record VisitKind(string Name, int OfThousand, Action<JsonObject> Change, IReadOnlyList<string> Except);
