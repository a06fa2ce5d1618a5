using System.Text;
using EarReferral.Storage.Audit;
using EarReferral.Storage.Encounters;
using EarReferral.Storage.Referrals;
using Hl7.Fhir.Model;

namespace EarReferral.Storage.Tests;

/// <summary>Encounters of the invented clinic as the pipeline hands them to the store.</summary>
internal static class Sample
{
    public const string Clinic = "harbour-lane";
    public const string Practice = "MRS42";
    public const string Hospital = "westerquay-ent";
    public const string NhsNumber = "https://fhir.nhs.uk/Id/nhs-number";

    public static readonly DateTimeOffset Received = new(2024, 3, 10, 9, 30, 0, TimeSpan.Zero);

    /// <summary>A whole encounter; the number tells its ids, so that tests can name them.</summary>
    public static EncounterRevision Encounter(
        int number = 1,
        int revision = 1,
        string clinic = Clinic,
        string? practice = Practice,
        string content = "first",
        OutgoingReferral? referral = null,
        params IReadOnlyList<Resource> resources) => new(
            Key(1, number, clinic),
            clinic,
            $"V-{number}",
            revision,
            "1.0",
            "Europe/London",
            Key(2, number, clinic),
            practice,
            content,
            Encoding.UTF8.GetBytes($"{{\"content\":\"{content}\"}}"),
            Received.AddMinutes(revision),
            Received.AddMinutes(revision),
            "triaged",
            "T2",
            Late: false,
            Encoding.UTF8.GetBytes($"receipt {content}"),
            "{}"u8.ToArray(),
            NhsNumber: null,
            resources,
            referral,
            [new AuditEntry(Received, AuditAction.Create, AuditResult.Success, "client", clinic, practice)]);

    public static OutgoingReferral Referral(
        int number = 1,
        int lane = 2,
        DateTimeOffset? due = null,
        string clinic = Clinic,
        string? practice = Practice,
        string destination = Hospital,
        string request = "first",
        bool hold = false) => new(
            $"referral-{number}",
            $"task-{number}",
            destination,
            "T2",
            lane,
            due,
            Key(2, number, clinic),
            clinic,
            practice,
            Encoding.UTF8.GetBytes(request),
            "00",
            $"key-{number}-{request}",
            $"correlation-{number}",
            ["R-CA-05/left"],
            hold);

    public static Patient Patient(string id, string nhsNumber, string family = "Thornby") => new()
    {
        Id = id,
        Identifier = [new Identifier(NhsNumber, nhsNumber)],
        BirthDate = "1957-04-02",
        Name = [new HumanName { Family = family, Given = ["Edda"] }],
    };

    public static Procedure Procedure(string id, DataType? performed, string patient = "p1", EventStatus status = EventStatus.Completed) => new()
    {
        Id = id,
        Status = status,
        Subject = new ResourceReference($"Patient/{patient}"),
        Code = new CodeableConcept("http://snomed.info/sct", "73761001"),
        Performed = performed,
    };

    public static Hl7.Fhir.Model.Task Task(string id, Hl7.Fhir.Model.Task.TaskStatus status) => new()
    {
        Id = id,
        Status = status,
        Intent = Hl7.Fhir.Model.Task.TaskIntent.Order,
    };

    public static Guid Key(byte kind, int number, string clinic) =>
        new(number, (short)(clinic == Clinic ? 0 : clinic.Length), kind, 0, 0, 0, 0, 0, 0, 0, 1);
}
