using System.Data.Common;
using System.Text.Json;
using Microsoft.Data.Sqlite;
using Npgsql;

namespace EarReferral.Faults;

/// <summary>Reads the gateway's own database from outside, without any of its code.</summary>
internal sealed class GatewayStore(string? postgres, string folder)
{
    /// <summary>How many sends stand where.</summary>
    public async Task<IReadOnlyDictionary<string, int>> StatesAsync()
    {
        var states = new Dictionary<string, int>();
        await ReadAsync("SELECT state, COUNT(*) FROM outbox GROUP BY state", row => states[row.GetString(0)] = row.GetInt32(1));
        return states;
    }

    /// <summary>Referrals that wait for a person.</summary>
    public async Task<IReadOnlyList<string>> NeedPersonAsync()
    {
        var ids = new List<string>();
        await ReadAsync("SELECT referral_id FROM outbox WHERE state = 'NeedsHuman'", row => ids.Add(row.GetString(0)));
        return ids;
    }

    /// <summary>Token of every lease that runs, by referral.</summary>
    public async Task<IReadOnlyDictionary<string, string>> LeasesAsync()
    {
        var leases = new Dictionary<string, string>();
        await ReadAsync("SELECT referral_id, CAST(lease_token AS text) FROM outbox WHERE lease_token IS NOT NULL", row => leases[row.GetString(0)] = row.GetString(1));
        return leases;
    }

    /// <summary>Everything that must be at the receiver: type and identifier of each entry of each stored request.</summary>
    public async Task<IReadOnlyDictionary<string, IReadOnlyList<string>>> ExpectedAsync()
    {
        var expected = new Dictionary<string, IReadOnlyList<string>>();
        await ReadAsync("SELECT referral_id, request FROM referral", row => expected[row.GetString(0)] = Keys((byte[])row.GetValue(1)));
        return expected;
    }

    /// <summary>The words of each referral's timeline, in order.</summary>
    public Task<IReadOnlyDictionary<string, IReadOnlyList<string>>> TimelinesAsync() =>
        ListsAsync("SELECT referral_id, kind FROM referral_event ORDER BY id");

    /// <summary>How each attempt of each referral ended, in order; those that lost their lease are marked with an asterisk.</summary>
    public Task<IReadOnlyDictionary<string, IReadOnlyList<string>>> AttemptsAsync() =>
        ListsAsync("SELECT referral_id, outcome || CASE WHEN lease_lost THEN '*' ELSE '' END FROM attempt ORDER BY id");

    private async Task<IReadOnlyDictionary<string, IReadOnlyList<string>>> ListsAsync(string sql)
    {
        var lists = new Dictionary<string, List<string>>();
        await ReadAsync(sql, row =>
        {
            if (!lists.TryGetValue(row.GetString(0), out var list))
            {
                lists[row.GetString(0)] = list = [];
            }

            list.Add(row.GetString(1));
        });
        return lists.ToDictionary(pair => pair.Key, pair => (IReadOnlyList<string>)pair.Value);
    }

    private async Task ReadAsync(string sql, Action<DbDataReader> each)
    {
        await using DbConnection connection = postgres is null
            ? new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = Path.Combine(folder, "ear-referral.db"), DefaultTimeout = 60 }.ConnectionString)
            : new NpgsqlConnection(postgres);
        await connection.OpenAsync();
        await using var command = connection.CreateCommand();
        command.CommandText = sql;
        await using var reader = await command.ExecuteReaderAsync();
        while (await reader.ReadAsync())
        {
            each(reader);
        }
    }

    private static List<string> Keys(byte[] request)
    {
        using var bundle = JsonDocument.Parse(request);
        return [.. bundle.RootElement.GetProperty("entry").EnumerateArray().Select(entry =>
            $"{entry.GetProperty("resource").GetProperty("resourceType").GetString()} {Uri.UnescapeDataString(entry.GetProperty("request").GetProperty("ifNoneExist").GetString()!)["identifier=".Length..]}")];
    }
}
