using System.Text;
using System.Text.Json.Nodes;
using EarReferral.Encounters.Tests.Fixtures;
using EarReferral.Encounters.Tests.Screening;

namespace EarReferral.Encounters.Tests.Reading;

/// <summary>For every problem id a document that has exactly this problem, and where it is pointed at.</summary>
internal static class ProblemCases
{
    public sealed record Case(string Id, string Pointer, byte[] Document, bool TestNumbers = true);

    public static IReadOnlyList<Case> All { get; } =
    [
        new("document.too-large", "", new byte[(1024 * 1024) + 1]),
        new("document.not-utf8", "", [(byte)'"', 0xC3, 0x28, (byte)'"']),
        new("document.too-deep", "", Text(new string('[', 33) + new string(']', 33))),
        new("document.too-many-problems", "", Finished(it => it["medicines"] = new JsonArray([.. Enumerable.Range(0, 600).Select(_ => (JsonNode)1)]))),
        new("json.malformed", "", Text("{\"contractVersion\": ")),
        new("json.duplicate-member", "/ears/0/side", Replaced("\"side\": \"right\",", "\"side\": \"right\", \"side\": \"left\",")),
        new("json.lone-surrogate", "/reasonForVisit", Replaced("Blocked feeling", "\\ud83d feeling")),
        new("json.number-form", "/general/temperatureCelsius", Replaced("36.8", "36.8000000000000000001")),
        new("json.number-form", "/ears/0/softenerBefore/days", Replaced("\"days\": 5", "\"days\": 5e0")),
        new("contract.version-unknown", "/contractVersion", Finished(it => { it["contractVersion"] = "2.0"; it["novel"] = 1; })),
        new("vocabulary.unknown", "/vocabulary", Finished(it => it["vocabulary"] = Vocabularies.Use("2"))),
        new("vocabulary.unmapped", "/ears/0/hearing/change", Finished(it => { it["vocabulary"] = Vocabularies.Use("hearing-only"); Ear(it)["hearing"]!["change"] = "HV-9"; })),
        new("member.unknown", "/ears/0/hearing/wax", Finished(it => Ear(it)["hearing"]!["wax"] = "yes")),
        new("member.unknown", "/ears/0/hearing", Finished(it => Ear(it)["hearing"]![new string('x', 65)] = "yes")),
        new("member.missing", "/ears/0/before/drum", Finished(it => Ear(it)["before"]!.AsObject().Remove("drum"))),
        new("value.type", "/ears/0/hearing/change", Finished(it => Ear(it)["hearing"]!["change"] = null)),
        new("value.type", "/revision", Finished(it => it["revision"] = "1")),
        new("value.not-in-list", "/ears/0/side", Finished(it => Ear(it)["side"] = "Right")),
        new("value.not-in-list", "/ears/0/audiogram/thresholds/0/frequencyHz", Finished(it => Ear(it)["audiogram"]!["thresholds"]![0]!["frequencyHz"] = 1001)),
        new("value.range", "/general/temperatureCelsius", Finished(it => it["general"]!["temperatureCelsius"] = 98.6)),
        new("value.length", "/ears", Finished(it => it["ears"] = new JsonArray())),
        new("value.length", "/place", Finished(it => it["place"] = "")),
        new("value.format", "/evaluationInstant", Finished(it => it["evaluationInstant"] = "2026-03-12T10:40:00")),
        new("value.format", "/evaluationInstant", Finished(it => it["evaluationInstant"] = "2026-02-30T10:40:00Z")),
        new("value.format", "/patient/birthDate", Finished(it => it["patient"]!["birthDate"] = "1958-02-29")),
        new("value.format", "/ears/0/hearing/onsetDate", Finished(it => Ear(it)["hearing"]!["onsetDate"] = "2026-13")),
        new("value.format", "/patient/id", Finished(it => it["patient"]!["id"] = "PT-118\n")),
        new("value.format", "/patient/nhsNumber/value", Finished(it => it["patient"]!["nhsNumber"]!["value"] = "999-000-0018")),
        new("value.format", "/images/0/url", Finished(it => it["images"]![0]!["url"] = "http://images.harbour-lane.example/IMG-1")),

        new("record.supersedes-missing", "/supersedes", Finished(it => it["revision"] = 2)),
        new("record.supersedes-on-first", "/supersedes", Finished(it => it["supersedes"] = Supersedes(1))),
        new("record.supersedes-wrong-revision", "/supersedes/revision", Finished(it => { it["revision"] = 3; it["supersedes"] = Supersedes(1); })),

        new("time.zone-unknown", "/clinicTimeZone", Finished(it => it["clinicTimeZone"] = "Europe/Westerquay")),
        new("time.zone-unknown", "/clinicTimeZone", Finished(it => it["clinicTimeZone"] = "GMT+2")),
        new("time.end-missing", "/period/end", Finished(it => it["period"]!.AsObject().Remove("end"))),
        new("time.end-before-start", "/period/end", Finished(it =>
        {
            it["period"]!["end"] = "2026-03-12T10:04:59+00:00";
            WithoutTimes(it);
        })),
        new("time.evaluation-before-start", "/evaluationInstant", Finished(it => it["evaluationInstant"] = "2026-03-12T10:04:59+00:00")),
        new("time.otoscopy-order", "/ears/0/after/at", Finished(it => Ear(it)["after"]!["at"] = "2026-03-12T10:14:00+00:00")),
        new("time.otoscopy-outside-visit", "/ears/1/before/at", Finished(it => Ear(it, 1)["before"]!["at"] = "2026-03-12T10:46:00+00:00")),
        .. HistoryDates.Select(date => new Case("time.history-in-future", date.Pointer, Finished(it => date.Set(it, "2026-03-13")))),
        .. HistoryDates.Select(date => new Case("time.history-before-birth", date.Pointer, Finished(it => date.Set(it, "1958-08")))),
        new("time.history-in-future", "/neurology/facialWeaknessOnset", Finished(it =>
        {
            it["neurology"]!["facialWeakness"] = "left";
            it["neurology"]!["facialWeaknessOnset"] = "2026-03-12T10:41:00+00:00";
        })),
        new("time.history-in-future", "/ears/0/discharge/treatmentStart", Finished(it => Ear(it)["discharge"]!["treatmentStart"] = "2026-03-12T10:41:00+00:00")),

        new("patient.birth-date-after-visit", "/patient/birthDate", Born("2026-03-13")),
        new("patient.birth-date-too-early", "/patient/birthDate", Finished(it => it["patient"]!["birthDate"] = "1901-03-11")),
        new("patient.nhs-number-missing", "/patient/nhsNumber", Finished(it => it["patient"]!.AsObject().Remove("nhsNumber"))),
        new("patient.nhs-number-and-reason", "/patient/nhsNumberAbsentReason", Finished(it => it["patient"]!["nhsNumberAbsentReason"] = "overseasPatient")),
        new("patient.nhs-number-check-digit", "/patient/nhsNumber/value", Number("9434765918")),
        new("patient.nhs-number-same-digits", "/patient/nhsNumber/value", Number("9999999999")),
        new("patient.nhs-number-test-range", "/patient/nhsNumber/value", Number("9990000018"), TestNumbers: false),
        new("patient.gp-practice-missing", "/patient/gpPractice", Finished(it => it["patient"]!.AsObject().Remove("gpPractice"))),
        new("patient.gp-practice-and-reason", "/patient/gpPracticeAbsentReason", Finished(it => it["patient"]!["gpPracticeAbsentReason"] = "declined")),

        new("consent.treatment-missing", "/consent/treatment", Finished(it => it["consent"]!["treatment"] = "notAsked")),
        new("consent.images-refused", "/consent/recordingImages", Finished(it => it["consent"]!["recordingImages"] = "no")),
        new("ear.side-twice", "/ears/1/side", Finished(it => Ear(it, 1)["side"] = "right")),
        new("image.ear-not-examined", "/images/0/side", Finished(it =>
        {
            it["ears"]!.AsArray().RemoveAt(1);
            it["images"]![0]!["side"] = "left";
        })),

        new("vertigo.absent-with-details", "/vertigo/present", Finished(it => it["vertigo"]!["present"] = "no")),
        new("neurology.facial-weakness-absent-with-details", "/neurology/facialWeakness", Finished(it => it["neurology"]!["foreheadInvolved"] = "yes")),
        new("head-injury.absent-with-details", "/headInjury/present", Finished(it => it["headInjury"]!["present"] = "no")),
        new("tinnitus.absent-with-details", "/ears/0/tinnitus/present", Finished(it => Ear(it)["tinnitus"]!["present"] = "no")),
        new("pain.absent-with-details", "/ears/0/pain/present", Finished(it => Ear(it)["pain"]!["present"] = "no")),
        new("discharge.absent-with-details", "/ears/0/discharge/present", Finished(it => Ear(it)["discharge"]!["present"] = "no")),
        new("foreign-body.absent-with-details", "/ears/0/foreignBody/present", Finished(it => Ear(it)["foreignBody"]!["present"] = "no")),
        new("trauma.absent-with-details", "/ears/0/trauma/date", Finished(it => Ear(it)["trauma"]!["pressureOrBlast"] = "no")),
        new("softener.absent-with-details", "/ears/0/softenerBefore/used", Finished(it => Ear(it)["softenerBefore"]!["used"] = "no")),
        new("history.grommet-out-date", "/ears/0/history/grommetOutDate", Finished(it => Ear(it)["history"]!["grommet"] = "inPlace")),
        new("hearing.unchanged-with-details", "/ears/0/hearing/change", Finished(it => Ear(it)["hearing"]!["change"] = "none")),
        new("hearing.development-contradicts", "/ears/0/hearing/developedOverHours", Finished(it => Ear(it)["hearing"]!["developedOverHours"] = 72.5)),
        new("hearing.development-contradicts", "/ears/0/hearing/developedOverHours", Finished(it => Ear(it)["hearing"]!["developedOverHours"] = 23.5)),
        new("audiogram.threshold-twice", "/ears/0/audiogram/thresholds/2", Finished(it => Ear(it)["audiogram"]!["thresholds"]![2]!["frequencyHz"] = 1000)),
        new("audiogram.threshold-empty", "/ears/0/audiogram/thresholds/2", Finished(it => Ear(it)["audiogram"]!["thresholds"]![2]!["noResponse"] = false)),
        new("audiogram.threshold-and-no-response", "/ears/0/audiogram/thresholds/2/noResponse", Finished(it => Ear(it)["audiogram"]!["thresholds"]![2]!["decibelsHearingLevel"] = 90)),

        new("drum.sign-without-view", "/ears/0/before/drum/bulging", Finished(it => Drum(it, "not")["bulging"] = "absent")),
        new("drum.sign-without-view", "/ears/0/before/drum/appearance", Finished(it => Drum(it, "not")["appearance"] = "normal")),
        new("drum.intact-without-full-view", "/ears/0/before/drum/intact", Finished(it => Drum(it, "partly")["intact"] = "present")),
        new("drum.perforation-excluded-without-full-view", "/ears/0/before/drum/perforation", Finished(it => Drum(it, "partly")["perforation"] = "absent")),
        new("drum.intact-and-perforated", "/ears/1/before/drum/intact", Finished(it => Ear(it, 1)["before"]!["drum"]!["perforation"] = "present")),
        new("drum.full-view-through-blocked-canal", "/ears/1/before/drum/visualised", Finished(it => Ear(it, 1)["before"]!["canal"]!["patency"] = "fullyBlocked")),

        new("location.wall-on-drum", "/ears/0/deposits/1/at/wall", Finished(it => Ear(it)["deposits"]![1]!["at"]!["wall"] = "anterior")),
        new("location.quadrant-in-canal", "/ears/0/deposits/0/at/quadrant", Finished(it => Ear(it)["deposits"]![0]!["at"]!["quadrant"] = "attic")),
        new("location.quadrant-in-canal", "/ears/0/steps/0/at/quadrant", Finished(it => Ear(it)["steps"]![0]!["at"]!["quadrant"] = "attic")),
        new("location.wall-on-drum", "/ears/0/after/drum/sites/0/at/wall", Finished(it => Ear(it)["after"]!["drum"]!["sites"]![0]!["at"]!["wall"] = "anterior")),
        new("location.sign-unknown", "/ears/0/before/canal/sites/0/sign", Finished(it => Ear(it)["before"]!["canal"]!["sites"]![0]!["sign"] = "perforation")),
        new("location.sign-not-present", "/ears/0/before/canal/sites/0/sign", Finished(it => Ear(it)["before"]!["canal"]!["sites"]![0]!["sign"] = "wound")),
        new("deposit.id-twice", "/ears/0/deposits/1/id", Finished(it =>
        {
            Ear(it)["deposits"]![1]!["id"] = "R1";
            Ear(it)["steps"]![1]!["deposits"] = new JsonArray("R1");
        })),
        new("step.deposit-unknown", "/ears/0/steps/1/deposits/0", Finished(it => Ear(it)["steps"]![1]!["deposits"]![0] = "R9")),
        new("step.deposit-of-other-ear", "/ears/0/steps/1/deposits/0", Finished(it => Ear(it)["steps"]![1]!["deposits"]![0] = "L1")),
        new("step.suction-member-without-suction", "/ears/0/steps/1/suctionEnd", Finished(it => Ear(it)["steps"]![1]!["suctionEnd"] = "fine")),
        new("step.suction-member-without-suction", "/ears/0/steps/1/suctionOuterDiameterMm", Finished(it => Ear(it)["steps"]![1]!["suctionOuterDiameterMm"] = 1)),
        new("step.suction-member-without-suction", "/ears/0/steps/1/suctionPressure", Finished(it => Ear(it)["steps"]![1]!["suctionPressure"] = JsonNode.Parse("{\"value\":10,\"unit\":\"kPa\"}"))),
        new("step.water-without-irrigation", "/ears/0/steps/0/waterTemperatureCelsius", Finished(it => Ear(it)["steps"]![0]!["waterTemperatureCelsius"] = 37)),
        new("step.suction-pressure-range", "/ears/0/steps/0/suctionPressure/value", Finished(it => Ear(it)["steps"]![0]!["suctionPressure"]!["unit"] = "kPa")),

        new("outcome.otoscopy-after-missing", "/ears/0/after", Finished(it => Ear(it).Remove("after"))),
        new("outcome.missing", "/ears/0/outcome", Finished(it => Ear(it).Remove("outcome"))),
        new("outcome.thin-layer-without-residual", "/ears/0/outcome/result", Outcome("thinLayerLeftOnDrum", "onDrum", onPurpose: false)),
        new("outcome.thin-layer-without-residual", "/ears/0/outcome/result", Outcome("thinLayerLeftOnDrum", "canalBonyPart", onPurpose: true)),
        new("outcome.incomplete-without-residual", "/ears/0/outcome/result", Outcome("incomplete", null, onPurpose: false)),
        new("outcome.abandoned-without-reason", "/ears/0/outcome/result", Outcome("abandoned", "onDrum", onPurpose: false)),
        new("outcome.clear-with-residual", "/ears/0/outcome/result", Outcome("clear", "onDrum", onPurpose: true)),
        new("outcome.not-started-with-steps", "/ears/0/outcome/result", Outcome("notStarted", null, onPurpose: false)),
        new("complications.vertigo-absent-with-minutes", "/complications/vertigoMinutes", Finished(it => it["complications"]!["vertigo"] = "none")),
        new("complications.tinnitus-absent-with-date", "/ears/0/complications/tinnitusSince", Finished(it => Ear(it)["complications"]!["tinnitusNewOrLouder"] = "no")),
        new("screening.version-unknown", "/screening/version", Finished(it =>
        {
            it["screening"] = MinimumScreenTests.Screen("yes");
            it["screening"]!["version"] = 2;
        })),
        new("screening.contradicted", "/screening/except", Finished(it =>
        {
            it["background"] = JsonNode.Parse("""{ "diabetes": "yes" }""");
            it["screening"] = MinimumScreenTests.Screen("yes", "hearingAndTinnitus", "balance", "nerves", "unwell", "painAndDischarge", "injuryAndObjects", "neckMouthVoice", "earlierEarTrouble", "afterProcedure");
        })),
    ];

    private static (string Pointer, Action<JsonObject, string> Set)[] HistoryDates =>
    [
        .. new[]
        {
            "/vertigo/onsetDate", "/headAndNeck/hoarsenessStart", "/headInjury/date",
            "/ears/0/hearing/onsetDate", "/ears/0/audiogram/measuredOn", "/ears/0/tinnitus/onsetDate", "/ears/0/pain/startDate", "/ears/0/discharge/startDate",
            "/ears/0/discharge/treatmentStartDate", "/ears/0/discharge/lastMucoidDate", "/ears/0/history/grommetOutDate", "/ears/0/history/middleEarInfectionEnd",
            "/ears/0/trauma/date", "/ears/0/complications/tinnitusSince", "/headAndNeck/mouthUlcerStart",
        }.Select(pointer => (pointer, (Action<JsonObject, string>)((it, date) => Holder(it, pointer)[pointer[(pointer.LastIndexOf('/') + 1)..]] = date))),
        ("/neurology/facialWeaknessOnsetDate", (it, date) =>
        {
            it["neurology"]!["facialWeakness"] = "left";
            it["neurology"]!["facialWeaknessOnsetDate"] = date;
        }),
    ];

    private static JsonNode Holder(JsonNode node, string pointer) =>
        pointer.Split('/')[1..^1].Aggregate(node, (at, part) => at is JsonArray list ? list[int.Parse(part, System.Globalization.CultureInfo.InvariantCulture)]! : at[part]!);

    private static JsonObject Ear(JsonObject encounter, int index = 0) => encounter["ears"]![index]!.AsObject();

    private static JsonObject Drum(JsonObject encounter, string visualised)
    {
        var drum = Ear(encounter)["before"]!["drum"]!.AsObject();
        drum["visualised"] = visualised;
        return drum;
    }

    private static JsonObject Supersedes(int revision) => new() { ["revision"] = revision, ["reason"] = "Side was missing.", ["person"] = "I. Thornbury" };

    private static void WithoutTimes(JsonObject encounter)
    {
        foreach (var ear in encounter["ears"]!.AsArray())
        {
            ear!["before"]!.AsObject().Remove("at");
            (ear["after"] as JsonObject)?.Remove("at");
        }
    }

    private static byte[] Born(string date) => Fixture.With(Fixture.InProgress, it =>
    {
        it["evaluationInstant"] = "2026-03-12T23:30:00+00:00";
        it["period"]!["start"] = "2026-03-12T23:00:00+00:00";
        it["patient"]!["birthDate"] = date;
        it["ears"]![0]!["hearing"]!.AsObject().Remove("onsetDate");
    });

    private static byte[] Outcome(string result, string? part, bool onPurpose) => Finished(it => Ear(it)["outcome"] = new JsonObject
    {
        ["result"] = result,
        ["left"] = part is null
            ? new JsonArray()
            : new JsonArray(new JsonObject { ["material"] = "wax", ["at"] = new JsonObject { ["part"] = part }, ["onPurpose"] = onPurpose }),
    });

    private static byte[] Number(string value) => Finished(it => it["patient"]!["nhsNumber"]!["value"] = value);

    private static byte[] Finished(Action<JsonObject> change) => Fixture.FinishedWith(change);

    private static byte[] Replaced(string old, string fresh)
    {
        var at = Fixture.Finished.IndexOf(old, StringComparison.Ordinal);
        Assert.True(at >= 0);
        return Text(string.Concat(Fixture.Finished.AsSpan(0, at), fresh, Fixture.Finished.AsSpan(at + old.Length)));
    }

    private static byte[] Text(string text) => Encoding.UTF8.GetBytes(text);
}
