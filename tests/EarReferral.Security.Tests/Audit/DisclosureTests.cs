using System.Text;
using System.Text.Json.Nodes;
using EarReferral.Gateway.Tests.Fhir;
using EarReferral.Security.Tests.Support;
using EarReferral.Storage;
using EarReferral.Storage.Audit;
using Microsoft.Data.Sqlite;


namespace EarReferral.Security.Tests.Audit;

/// <summary>Source: HL7 IHE Basic Audit Log Patterns (one event per patient in a result, the raw query, the token traced by its jti); the requirement that a disclosure without its row is refused.</summary>
public sealed class DisclosureTests : IAsyncLifetime
{
    private readonly GuardedGateway gateway = new();
    private string gp = "";
    private string composition = "";
    private string visit = "";

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    public async ValueTask InitializeAsync()
    {
        await gateway.InitializeAsync();
        var clinic = await gateway.TokenAsync("clinic");
        gp = await gateway.TokenAsync("gpPractice");
        var receipt = await gateway.PostAsync(clinic, RecordedVisits.Example("09-"));
        await gateway.PostAsync(clinic, RecordedVisits.Example("01-"));
        composition = ((string)receipt["summary"]!).Split('/')[^2];
        visit = new Uri((string)receipt["encounter"]!).PathAndQuery;
    }

    public async ValueTask DisposeAsync() => await gateway.DisposeAsync();

    [Fact]
    public async Task EveryShownRecord_HasARowPerPatient_WithClientTokenAndQuery()
    {
        var clinic = await gateway.TokenAsync("clinic");
        (string Token, string Address, AuditAction Action, string Type, int Patients)[] cases =
        [
            (gp, $"/fhir/Composition/{composition}", AuditAction.Read, "Composition", 1),
            (gp, $"/fhir/Composition/{composition}/_history/1", AuditAction.VersionRead, "Composition", 1),
            (gp, $"/fhir/Composition/{composition}/_history", AuditAction.History, "Composition", 1),
            (gp, "/fhir/Patient?_lastUpdated=ge2020-01-01", AuditAction.Search, "Patient", 2),
            (gp, "/fhir/Media?_lastUpdated=ge2020-01-01", AuditAction.Search, "Media", 0),
            (gp, $"/fhir/Composition/{composition}/$document", AuditAction.Operation, "Composition", 1),
            (gp, $"/summaries/{composition}", AuditAction.Read, "Composition", 1),
            (gp, $"/summaries/{composition}.pdf", AuditAction.Read, "Composition", 1),
            (clinic, visit, AuditAction.Read, "Encounter", 1),
            (clinic, "/encounters", AuditAction.Search, "Encounter", 2),
            (clinic, "/referrals", AuditAction.Search, "ServiceRequest", 1),
        ];
        foreach (var (token, address, action, type, patients) in cases)
        {
            var before = (await RowsAsync()).Count;
            var (status, _) = await gateway.SendAsync(token, HttpMethod.Get, address);
            var rows = (await RowsAsync()).Skip(before).Where(row => row.Action == action && row.ResourceType == type).ToList();

            Assert.True(status == 200, $"{address}: {status}");
            Assert.True(rows.Count == Math.Max(1, patients), $"{address}: {rows.Count} rows");
            Assert.Equal(patients, rows.Select(row => row.PatientKey).OfType<Guid>().Distinct().Count());
            Assert.All(rows, row => Assert.Equal(token == gp ? "gpPractice" : "clinic", row.Actor));
            Assert.All(rows, row => Assert.False(string.IsNullOrEmpty(row.TokenId)));
            Assert.All(rows, row => Assert.Equal(action is AuditAction.Search or AuditAction.Operation, row.Query is not null));
            Assert.All(rows.Where(row => row.Query is not null), row => Assert.Contains(address.Split('?')[0], Encoding.UTF8.GetString(row.Query!.Value.Span), StringComparison.Ordinal));
        }
    }

    [Fact]
    public async Task BatchOfReads_IsAuditedAsTheReadsAre_AndADeniedReadIsNoDisclosure()
    {
        var before = (await RowsAsync()).Count;
        var batch = new JsonObject { ["resourceType"] = "Bundle", ["type"] = "batch", ["entry"] = new JsonArray(new JsonObject { ["request"] = new JsonObject { ["method"] = "GET", ["url"] = $"Composition/{composition}" } }) };
        await gateway.SendAsync(gp, HttpMethod.Post, "/fhir", batch.ToJsonString(), "application/fhir+json");
        var shown = (await RowsAsync()).Skip(before).ToList();
        var denied = await gateway.SendAsync(await gateway.TokenAsync("gpPractice-foreign"), HttpMethod.Get, $"/fhir/Composition/{composition}");

        Assert.Single(shown, row => row is { Actor: "gpPractice", PatientKey: not null });
        Assert.Equal(404, denied.Status);
        Assert.DoesNotContain(await RowsAsync(), row => row is { Actor: "gpPractice-foreign", PatientKey: not null });
    }

    [Fact]
    public async Task TokenIsGivenOnlyWithItsRow()
    {
        var before = (await RowsAsync()).Count;
        await gateway.TokenAsync("ent");
        var row = Assert.Single((await RowsAsync()).Skip(before), row => row.Action == AuditAction.IssueToken);

        Assert.Equal(("ent", "system/*.rs system/Task.u"), (row.Actor, row.Purpose));
        Assert.Contains(await RowsAsync(), issued => issued.Action == AuditAction.IssueToken && issued.Actor == "gpPractice");
        await gateway.SendAsync(gp, HttpMethod.Get, $"/fhir/Composition/{composition}");
        var rows = await RowsAsync();
        Assert.Contains(rows, issued => issued.Action == AuditAction.IssueToken && issued.TokenId == rows[^1].TokenId);
    }

    [Fact]
    public async Task WhatCannotBeWrittenDown_IsNotShown()
    {
        await ChangeAsync("CREATE TRIGGER full BEFORE INSERT ON audit BEGIN SELECT RAISE(ABORT, 'disk full'); END");

        var read = await gateway.SendAsync(gp, HttpMethod.Get, $"/fhir/Composition/{composition}");
        var page = await gateway.SendAsync(gp, HttpMethod.Get, $"/summaries/{composition}");
        var (token, _) = await gateway.AskAsync(gateway.Good("gpPractice"), "system/Procedure.rs");

        Assert.Equal((503, 503), (read.Status, page.Status));
        Assert.DoesNotContain("Composition/", read.Body, StringComparison.Ordinal);
        Assert.True(token >= 500, $"a token was answered {token}");
        await ChangeAsync("DROP TRIGGER full");
        Assert.Equal(200, (await gateway.SendAsync(gp, HttpMethod.Get, $"/fhir/Composition/{composition}")).Status);
    }

    private async Task<IReadOnlyList<AuditEntry>> RowsAsync() =>
        (await gateway.Gateway.Audit.ListAsync(new Reach.Everything("test"), null, 5000, Stop)).Items;

    private async Task ChangeAsync(string statement)
    {
        await using var connection = new SqliteConnection($"Data Source={gateway.Gateway.DatabaseFile}");
        await connection.OpenAsync(Stop);
        await using var command = connection.CreateCommand();
        command.CommandText = statement;
        await command.ExecuteNonQueryAsync(Stop);
    }
}
