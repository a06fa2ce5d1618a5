using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using EarReferral.Encounters.Findings;
using EarReferral.Encounters.Rules;

namespace EarReferral.Encounters.Reading;

/// <summary>What can still be read of a refused document, so that a red flag in it raises an alarm although the document is not accepted.</summary>
/// <remarks>
/// The result is for triage alone: it must not be stored, shown or sent. Identity is filled with placeholders, an ear whose side
/// cannot be read gets one, and what was wrong is left out, which means not asked. No two ears have the same side: a second
/// entry of one side is read as the other side while that has none, since its findings matter more than its side, and is left
/// out otherwise.
/// </remarks>
public static class ReadableFacts
{
    // Each round repairs everything the schema reports; a required member that goes takes its parent along in the next round.
    private const int MostRounds = 2 * JsonScan.DeepestLevel;

    /// <summary>Contradictions whose named member is needed and not itself the mistake.</summary>
    private static readonly HashSet<string> Kept = new(StringComparer.Ordinal) { RuleProblems.SideTwice.Id, RuleProblems.EvaluationBeforeStart.Id };

    // Problems of form are found again while repairing; only contradictions have to be told by the caller. A wrong single value
    // is taken out at once all the same, which spares a look through the whole document.
    private static readonly HashSet<string> Dropping =
        RuleProblems.All.Select(rule => rule.Id).Where(id => !Kept.Contains(id))
            .Concat([FormProblems.WrongType.Id, FormProblems.NotInList.Id, FormProblems.OutOfRange.Id, FormProblems.WrongFormat.Id])
            .ToHashSet(StringComparer.Ordinal);

    /// <summary>The readable part of a refused document; null when nothing clinical can be read.</summary>
    /// <param name="document">The posted bytes.</param>
    /// <param name="problems">What the reader said about them.</param>
    /// <param name="received">Stands in for a decision instant that cannot be read and that the visit's own times do not give either.</param>
    public static ClinicEncounter? From(ReadOnlyMemory<byte> document, IReadOnlyList<EncounterProblem> problems, DateTimeOffset? received = null)
    {
        var broken = JsonScan.Check(document.Span, out var parsable);
        if (!parsable)
        {
            return null;
        }

        var dropped = problems.Where(problem => Dropping.Contains(problem.Id))
            .Concat(broken.Where(problem => problem.Id != FormProblems.DuplicateMember.Id))
            .Select(problem => problem.Pointer).ToHashSet(StringComparer.Ordinal);
        using var json = JsonDocument.Parse(document, new JsonDocumentOptions { MaxDepth = JsonScan.DeepestLevel });
        if (Copy(json.RootElement, string.Empty, dropped) is not JsonObject tree)
        {
            return null;
        }

        var encounter = Repair(tree, new Placeholders(received));
        return encounter is not null && SaysSomething(encounter) ? encounter with { Ears = OfDistinctSides(encounter.Ears), ClinicTimeZone = KnownZone(encounter.ClinicTimeZone) } : null;
    }

    // While the form is wrong nobody has looked whether the zone exists; days are then counted in UTC rather than not at all.
    private static string KnownZone(string name) => TimeZoneInfo.TryFindSystemTimeZoneById(name, out _) ? name : "Etc/UTC";

    // Only a document that names a side twice, or more than two ears, gets here with one; the reader refuses both.
    private static IReadOnlyList<EarExamination> OfDistinctSides(IReadOnlyList<EarExamination> ears)
    {
        var first = ears.DistinctBy(ear => ear.Side).ToList();
        if (first.Count == ears.Count)
        {
            return ears;
        }

        return first.Count == 1 ? [first[0], ears[1] with { Side = Opposite(first[0].Side) }] : first;
    }

    private static EarSide Opposite(EarSide side) => side switch
    {
        EarSide.Right => EarSide.Left,
        EarSide.Left => EarSide.Right,
    };

    private static bool SaysSomething(ClinicEncounter encounter) =>
        encounter.Ears.Count > 0 || FindingCatalogue.Patient.Any(row => row.Read(encounter) is not null);

    private static JsonNode? Copy(JsonElement element, string pointer, HashSet<string> dropped)
    {
        switch (element.ValueKind)
        {
            case JsonValueKind.Object:
                var members = new JsonObject();
                foreach (var named in element.EnumerateObject().GroupBy(member => member.Name, StringComparer.Ordinal))
                {
                    // Of two members of one name neither can be believed, and no member of the contract has a name as long as that.
                    var place = $"{pointer}/{JsonPointer.Escape(named.Key)}";
                    if (!dropped.Contains(place) && named.Key.Length <= JsonPointer.LongestName && named.Count() == 1)
                    {
                        members.Add(named.Key, Copy(named.Single().Value, place, dropped));
                    }
                }

                return members;
            case JsonValueKind.Array:
                return new JsonArray([.. element.EnumerateArray()
                    .Select((item, index) => (item, place: $"{pointer}/{index}"))
                    .Where(at => !dropped.Contains(at.place))
                    .Select(at => Copy(at.item, at.place, dropped))]);
            default:
                return JsonValue.Create(element);
        }
    }

    private static ClinicEncounter? Repair(JsonObject tree, Placeholders placeholders)
    {
        for (var round = 0; round < MostRounds; round++)
        {
            var element = JsonSerializer.SerializeToElement(tree, NodeJson.Default.JsonObject);
            var wrong = SchemaCheck.Problems(element).Where(problem => !IsOnlyListLength(problem, tree)).ToArray();
            if (wrong.Length == 0)
            {
                return ModelReading.Read(element);
            }

            // What is wrong goes first, so that no placeholder is taken from it.
            if (!RemoveWrong(tree, wrong) && !FillMissing(tree, wrong, placeholders))
            {
                return null;
            }
        }

        return null;
    }

    /// <summary>Takes out every wrong value; false when there was none.</summary>
    private static bool RemoveWrong(JsonObject tree, IEnumerable<EncounterProblem> problems)
    {
        // Nodes are found before the first one goes, since removal from a list moves the places behind it.
        var places = problems.Where(problem => problem.Id != FormProblems.MissingMember.Id)
            .Select(problem => JsonPointer.Split(problem.Pointer))
            .Where(path => path.Count > 0)
            .ToArray();
        return RemoveAll(tree, places);
    }

    /// <summary>Fills missing members, and takes out what is of no use without them; false when nothing could be done.</summary>
    private static bool FillMissing(JsonObject tree, IEnumerable<EncounterProblem> problems, Placeholders placeholders)
    {
        var filled = false;
        var useless = new List<IReadOnlyList<string>>();
        foreach (var path in problems.Where(problem => problem.Id == FormProblems.MissingMember.Id).Select(problem => JsonPointer.Split(problem.Pointer)))
        {
            IReadOnlyList<string> holder = [.. path.SkipLast(1)];
            if (placeholders.For(path, tree) is { } placeholder && Find(tree, holder) is JsonObject members)
            {
                members[path[^1]] = placeholder;
                filled = true;
            }
            else if (holder.Count == 0)
            {
                return false;
            }
            else
            {
                useless.Add(holder);
            }
        }

        return RemoveAll(tree, useless) || filled;
    }

    private static bool RemoveAll(JsonObject tree, IReadOnlyCollection<IReadOnlyList<string>> places)
    {
        var found = places.Select(path => (Parent: Find(tree, path.SkipLast(1)), Child: Find(tree, path), Name: path[^1])).ToArray();
        foreach (var (parent, child, name) in found)
        {
            if (parent is JsonObject holder)
            {
                holder.Remove(name);
            }
            else if (parent is JsonArray list)
            {
                list.Remove(child);
            }
        }

        return found.Length > 0;
    }

    private static bool IsOnlyListLength(EncounterProblem problem, JsonObject tree) =>
        problem.Id == FormProblems.WrongLength.Id && Find(tree, JsonPointer.Split(problem.Pointer)) is JsonArray;

    private static JsonNode? Find(JsonNode? node, IEnumerable<string> path)
    {
        foreach (var part in path)
        {
            node = node switch
            {
                JsonObject members => members[part],
                JsonArray items when int.TryParse(part, NumberStyles.None, CultureInfo.InvariantCulture, out var index) && index < items.Count => items[index],
                _ => null,
            };
        }

        return node;
    }
}
