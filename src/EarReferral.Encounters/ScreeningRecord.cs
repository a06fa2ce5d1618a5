namespace EarReferral.Encounters;

/// <summary>A named screen that was gone through with the patient, and its one answer for everything it asks.</summary>
public sealed record ScreeningRecord
{
    /// <summary>Which screen.</summary>
    public required ScreenName Screen { get; init; }

    /// <summary>Version of that screen; the contract lists what each version asks.</summary>
    public required int Version { get; init; }

    /// <summary>The answer to all groups at once: <see cref="Answer.Yes"/> says that none of these is so. Every other answer says nothing.</summary>
    public required Answer NoneOfThese { get; init; }

    /// <summary>Groups to which the one answer does not apply; their findings are recorded one by one.</summary>
    public IReadOnlyList<ScreenGroup> Except { get; init => field = value ?? []; } = [];

    /// <summary>Who asked.</summary>
    public required string Person { get; init; }

    /// <summary>When it was answered.</summary>
    public required DateTimeOffset At { get; init; }
}

/// <summary>Screens that the contract knows.</summary>
public enum ScreenName { EarCareMinimum }

/// <summary>Groups of the minimum screen; each is one question to the patient or to the clinician.</summary>
public enum ScreenGroup { HearingAndTinnitus, Balance, Nerves, Unwell, PainAndDischarge, InjuryAndObjects, NeckMouthVoice, Risks, EarlierEarTrouble, AfterProcedure }

/// <summary>A finding that a screen answered.</summary>
/// <param name="Side">The ear, or null for the whole patient.</param>
/// <param name="Code">Code of the finding.</param>
/// <param name="Group">Group whose question answered it.</param>
public sealed record ScreenAnswer(EarSide? Side, string Code, ScreenGroup Group);
