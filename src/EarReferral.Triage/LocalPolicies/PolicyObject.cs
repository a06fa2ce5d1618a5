using System.Globalization;
using System.Text.Json;
using EarReferral.Triage.Rules;

namespace EarReferral.Triage.LocalPolicies;

/// <summary>One object of a policy file, read strictly: what has another form, is empty or is unknown becomes a problem with its place.</summary>
internal sealed class PolicyObject(JsonElement json, string place, List<string> problems)
{
    private readonly HashSet<string> known = [];

    /// <summary>Names every member that must be there and is not.</summary>
    public void Require(params ReadOnlySpan<string> members)
    {
        foreach (var member in members)
        {
            if (!json.TryGetProperty(member, out _))
            {
                Problem(member, "is missing");
            }
        }
    }

    /// <summary>Words, or null; an empty text is a problem and never words.</summary>
    public string? Text(string member)
    {
        if (Find(member, JsonValueKind.String, "a text")?.GetString() is not { } text)
        {
            return null;
        }

        if (string.IsNullOrWhiteSpace(text))
        {
            Problem(member, "is empty");
            return null;
        }

        return text.Trim();
    }

    /// <summary>Texts of a list; an empty list where the member is not there.</summary>
    public IReadOnlyList<string> Texts(string member)
    {
        var items = Items(member, JsonValueKind.String, "a text");
        return [.. items.Select(item => item.Value.GetString()!)];
    }

    /// <summary>True only where the member says <c>true</c>; <c>false</c> would say nothing and is a problem.</summary>
    public bool Flag(string member) => Find(member, JsonValueKind.True, "true") is not null;

    /// <summary>A calendar day, written yyyy-MM-dd.</summary>
    public DateOnly? Date(string member)
    {
        if (Text(member) is not { } text)
        {
            return null;
        }

        if (DateOnly.TryParseExact(text, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var day))
        {
            return day;
        }

        Problem(member, $"'{text}' is not a day such as 2026-03-31");
        return null;
    }

    /// <summary>A value from a closed list, written exactly as given.</summary>
    public T? Choice<T>(string member, IReadOnlyDictionary<string, T> values)
        where T : struct
    {
        if (Text(member) is not { } text)
        {
            return null;
        }

        if (values.TryGetValue(text, out var value))
        {
            return value;
        }

        Problem(member, $"'{text}' is none of {string.Join(", ", values.Keys)}");
        return null;
    }

    /// <summary>A time limit: <c>value</c> from 1 to 1000 and <c>unit</c>, <c>h</c> or <c>d</c> (UCUM).</summary>
    public Deadline? Deadline(string member)
    {
        if (Object(member) is not { } limit)
        {
            return null;
        }

        limit.Require("value", "unit");
        var unit = limit.Choice("unit", new Dictionary<string, DeadlineUnit> { ["h"] = DeadlineUnit.Hours, ["d"] = DeadlineUnit.Days });
        var amount = limit.Find("value", JsonValueKind.Number, "a whole number");
        limit.End();
        if (amount is { } number && (!number.TryGetInt32(out var count) || count is < 1 or > 1000))
        {
            limit.Problem("value", "is not a whole number from 1 to 1000");
            return null;
        }

        return amount is { } read && unit is { } inUnit ? new Deadline(read.GetInt32(), inUnit) : null;
    }

    public PolicyObject? Object(string member) =>
        Find(member, JsonValueKind.Object, "an object") is { } found ? new PolicyObject(found, $"{place}/{member}", problems) : null;

    /// <summary>Objects of a list; an empty list where the member is not there.</summary>
    public IReadOnlyList<PolicyObject> Objects(string member) =>
        [.. Items(member, JsonValueKind.Object, "an object").Select(item => new PolicyObject(item.Value, $"{place}/{member}/{item.Index}", problems))];

    /// <summary>Adds a problem of one member.</summary>
    public void Problem(string member, string what) => problems.Add($"{place}/{member}: {what}");

    /// <summary>To be called when all members were asked for: any other is a problem, since a misspelt one would be a change that is not made.</summary>
    public void End()
    {
        foreach (var member in json.EnumerateObject().Where(member => !known.Contains(member.Name)))
        {
            Problem(member.Name, "is not a member that is known here");
        }
    }

    private JsonElement? Find(string member, JsonValueKind kind, string form)
    {
        known.Add(member);
        if (!json.TryGetProperty(member, out var found))
        {
            return null;
        }

        if (found.ValueKind == kind)
        {
            return found;
        }

        Problem(member, $"is not {form}");
        return null;
    }

    private List<(int Index, JsonElement Value)> Items(string member, JsonValueKind kind, string form)
    {
        var items = new List<(int, JsonElement)>();
        foreach (var (index, item) in (Find(member, JsonValueKind.Array, "a list")?.EnumerateArray() ?? default).Index())
        {
            if (item.ValueKind == kind)
            {
                items.Add((index, item));
            }
            else
            {
                Problem($"{member}/{index}", $"is not {form}");
            }
        }

        return items;
    }
}
