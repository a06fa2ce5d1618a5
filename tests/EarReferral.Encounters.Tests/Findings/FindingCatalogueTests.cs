using System.Reflection;
using EarReferral.Encounters.Findings;

namespace EarReferral.Encounters.Tests.Findings;

public sealed class FindingCatalogueTests
{
    /// <summary>Members that are clinical facts in shape but no rows, each with the reason.</summary>
    private static readonly Dictionary<string, string> Exempt = new(StringComparer.Ordinal)
    {
        ["Audiogram.MeasuredOn"] = "the effective time of the thresholds, which are mapped as a list",
        ["Otoscopy.At"] = "the effective time of every finding of this look",
        ["ClinicEncounter.EvaluationInstant"] = "the instant of the visit, not a fact about the patient's ear",
        ["ClinicEncounter.Status"] = "state of the record",
        ["ClinicEncounter.ContractVersion"] = "identity of the message",
        ["ClinicEncounter.EncounterId"] = "identity of the visit",
        ["ClinicEncounter.Revision"] = "identity of the message",
        ["ClinicEncounter.ClinicTimeZone"] = "how calendar days are counted",
        ["ClinicEncounter.Place"] = "part of the visit, mapped to the Encounter",
        ["ClinicEncounter.ReasonForVisit"] = "part of the visit, mapped to the Encounter",
        ["ClinicEncounter.Expectation"] = "part of the letter, mapped to the Composition",
        ["EarExamination.Side"] = "the subject of every fact of this ear",
    };

    /// <summary>Parts of the encounter that hold no findings: identities, agreements, lists with a shape of their own.</summary>
    private static readonly Dictionary<Type, string> ExemptTypes = new()
    {
        [typeof(Clinic)] = "identity",
        [typeof(ClinicPractitioner)] = "identity",
        [typeof(ClinicPatient)] = "identity",
        [typeof(EncounterPeriod)] = "time of the visit",
        [typeof(VocabularyUse)] = "how the document is written",
        [typeof(Supersession)] = "history of the record",
        [typeof(ReachingPatient)] = "contact, mapped to the Patient",
        [typeof(ScreeningRecord)] = "fills findings in, is none",
        [typeof(ConsentRecord)] = "agreement, mapped on its own",
        [typeof(FollowUp)] = "plan, mapped to the Composition",
        [typeof(TierOverride)] = "decision, read by triage",
    };

    private static readonly Dictionary<string, string> BlockNames = new(StringComparer.Ordinal)
    {
        ["ClinicEncounter.Complications"] = "patient-complications",
        ["EarExamination.History"] = "ear-history",
    };

    private static readonly string[] Codes =
    [
        .. FindingCatalogue.Patient.Select(row => row.Code),
        .. FindingCatalogue.Ear.Select(row => row.Code),
        .. FindingCatalogue.Otoscopy.Select(row => row.Code),
    ];

    [Fact]
    public void Every_clinical_member_of_the_model_has_exactly_the_row_that_the_convention_names()
    {
        string[] expected = [.. CodesOf(typeof(ClinicEncounter), null), .. CodesOf(typeof(EarExamination), null), .. CodesOf(typeof(Otoscopy), "otoscopy")];

        Assert.Equal(expected.Order(StringComparer.Ordinal), Codes.Order(StringComparer.Ordinal));
    }

    [Fact]
    public void Codes_are_unique_and_in_kebab_case()
    {
        Assert.Equal(Codes.Length, Codes.Distinct(StringComparer.Ordinal).Count());
        Assert.All(Codes, code => Assert.Matches("^[a-z]+(-[a-z]+)+$", code));
    }

    [Fact]
    public void Displays_are_unique_so_that_a_letter_is_not_ambiguous()
    {
        string[] displays =
        [
            .. FindingCatalogue.Patient.Select(row => row.Display),
            .. FindingCatalogue.Ear.Select(row => row.Display),
            .. FindingCatalogue.Otoscopy.Select(row => row.Display),
        ];

        Assert.Equal([], displays.GroupBy(display => display, StringComparer.OrdinalIgnoreCase).Where(group => group.Count() > 1).Select(group => group.Key));
    }

    [Fact]
    public void Every_row_reads_the_member_that_its_code_names()
    {
        CheckRows(FindingCatalogue.Patient, typeof(ClinicEncounter));
        CheckRows(FindingCatalogue.Ear, typeof(EarExamination));
        CheckRows(FindingCatalogue.Otoscopy, typeof(Otoscopy));
    }

    [Fact]
    public void What_was_not_asked_not_seen_or_not_known_is_never_a_value()
    {
        var otoscopy = new Otoscopy
        {
            Drum = new Drum { Visualised = DrumVisibility.Not, Intact = Sign.NotSeen },
            Canal = new Canal { Patency = Patency.NotSeen },
        };
        var ear = new EarExamination
        {
            Side = EarSide.Left,
            Before = otoscopy,
            Hearing = new Hearing { Change = HearingChange.NotAsked, Before = HearingLevel.NotChecked, Acquired = Answer.NotAsked },
            Movement = new PatientMovement { Touched = TouchedPart.NotKnown },
        };

        Assert.Equal(new FindingValue.Unknown(UnknownReason.NotSeen), Value(FindingCatalogue.Otoscopy, "drum-intact", otoscopy));
        Assert.Equal(new FindingValue.Unknown(UnknownReason.NotSeen), Value(FindingCatalogue.Otoscopy, "canal-patency", otoscopy));
        Assert.Equal(new FindingValue.Unknown(UnknownReason.NotAsked), Value(FindingCatalogue.Ear, "hearing-change", ear));
        Assert.Equal(new FindingValue.Unknown(UnknownReason.NotSeen), Value(FindingCatalogue.Ear, "hearing-before", ear));
        Assert.Equal(new FindingValue.Unknown(UnknownReason.NotAsked), Value(FindingCatalogue.Ear, "hearing-acquired", ear));
        Assert.Equal(new FindingValue.Unknown(UnknownReason.NotKnown), Value(FindingCatalogue.Ear, "movement-touched", ear));
        Assert.Null(Value(FindingCatalogue.Ear, "hearing-fluctuates", ear));
    }

    private static FindingValue? Value<T>(IReadOnlyList<Finding<T>> rows, string code, T subject) => rows.Single(row => row.Code == code).Read(subject);

    /// <summary>Sets one member at a time to a telling value and expects that exactly the row named after it speaks.</summary>
    private static void CheckRows<T>(IReadOnlyList<Finding<T>> rows, Type subjectType)
    {
        foreach (var (block, member, code) in MembersOf(subjectType))
        {
            var subject = Empty(subjectType);
            var holder = block is null ? subject : Empty(block.PropertyType);
            block?.SetValue(subject, holder);
            member.SetValue(holder, Sample(member.PropertyType));

            var spoke = rows.Where(row => row.Read((T)subject) is not null).Select(row => row.Code).ToArray();

            Assert.Contains(code, spoke);
            Assert.All(spoke, other => Assert.True(other == code || other == "drum-visualised" || other == "outcome-result", $"{code} made {other} speak"));
            Assert.Equal(KindOf(member.PropertyType), rows.Single(row => row.Code == code).Kind);
        }
    }

    private static object Empty(Type type) => System.Runtime.CompilerServices.RuntimeHelpers.GetUninitializedObject(type);

    private static object Sample(Type type)
    {
        var plain = Nullable.GetUnderlyingType(type) ?? type;
        return plain == typeof(string) ? "words"
            : plain == typeof(PartialDate) ? new PartialDate(2026)
            : plain == typeof(decimal) ? 1m
            : plain.IsEnum ? Enum.GetValues(plain).GetValue(0)!
            : Activator.CreateInstance(plain)!;
    }

    private static FindingKind KindOf(Type type)
    {
        var plain = Nullable.GetUnderlyingType(type) ?? type;
        return plain == typeof(Answer) ? FindingKind.Answer
            : plain == typeof(Sign) ? FindingKind.Sign
            : plain.IsEnum ? FindingKind.Coded
            : plain == typeof(PartialDate) ? FindingKind.PartialDate
            : plain == typeof(DateTimeOffset) ? FindingKind.Instant
            : plain == typeof(string) ? FindingKind.Text
            : FindingKind.Quantity;
    }

    private static IEnumerable<string> CodesOf(Type subject, string? ownBlock) => MembersOf(subject, ownBlock).Select(member => member.Code);

    private static IEnumerable<(PropertyInfo? Block, PropertyInfo Member, string Code)> MembersOf(Type subject, string? ownBlock = "otoscopy")
    {
        foreach (var property in subject.GetProperties().Where(property => property.CanWrite))
        {
            if (IsFact(property))
            {
                if (!Exempt.ContainsKey($"{subject.Name}.{property.Name}"))
                {
                    yield return (null, property, $"{ownBlock}-{Naming.Kebab(property.Name)}");
                }
            }
            else if (IsBlock(property.PropertyType))
            {
                var name = BlockNames.GetValueOrDefault($"{subject.Name}.{property.Name}") ?? Naming.Kebab(property.Name);
                foreach (var member in property.PropertyType.GetProperties().Where(member => member.CanWrite && IsFact(member)))
                {
                    if (!Exempt.ContainsKey($"{property.PropertyType.Name}.{member.Name}"))
                    {
                        yield return (property, member, $"{name}-{Naming.Kebab(member.Name).Replace("-celsius", string.Empty, StringComparison.Ordinal)}");
                    }
                }
            }
        }
    }

    private static bool IsFact(PropertyInfo property)
    {
        var type = Nullable.GetUnderlyingType(property.PropertyType) ?? property.PropertyType;
        return type.IsEnum || type == typeof(string) || type.IsPrimitive || type == typeof(decimal) || type == typeof(PartialDate) || type == typeof(DateTimeOffset);
    }

    // The two looks of an ear are subjects of their own.
    private static bool IsBlock(Type type) => type.IsClass && type.Assembly == typeof(ClinicEncounter).Assembly && !ExemptTypes.ContainsKey(type) && type != typeof(Otoscopy);
}
