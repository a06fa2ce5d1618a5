using System.Text.Json;
using System.Text.Json.Nodes;
using EarReferral.Encounters.Reading;
using EarReferral.Gateway.Demo;
using EarReferral.Gateway.Intake;

namespace EarReferral.Gateway.OpenApi;

/// <summary>A request and the answer it really gets, for the documentation.</summary>
internal sealed class IntakeExample(EncounterJudge judge, ReceiptWriter receipts)
{

    /// <summary>An example encounter and the receipt that the gateway's own stages give for it.</summary>
    public (JsonObject Encounter, JsonNode Receipt, JsonNode Preview) Make()
    {
        var example = Example.All().First(example => example.Tier == "T1");
        var reading = EncounterReader.Read(JsonSerializer.SerializeToUtf8Bytes(example.Encounter), new EncounterReaderOptions { AllowTestNhsNumbers = true });
        var judgement = judge.Preview(reading.Encounter!);
        var receipt = JsonNode.Parse(receipts.Write(judgement, Guid.Parse(judgement.Record.Encounter.Id!), late: false))!;
        var preview = JsonNode.Parse(ReceiptWriter.Bytes(ReceiptWriter.Preview(judgement, judgement.Encounter.EvaluationInstant)))!;
        return (example.Encounter, receipt, preview);
    }
}
