using Hl7.Fhir.Model;

namespace EarReferral.Mapping.Codes;

/// <summary>Local codes that no published terminology was seen to have, besides findings and the contract's closed lists.</summary>
public static class LocalCodes
{
    public static readonly Term Deposit = Item("deposit", "Deposit in the ear canal");
    public static readonly Term Step = Item("procedure-step", "Step of the procedure");
    public static readonly Term Residual = Item("residual", "Left in the ear");
    public static readonly Term Threshold = Item("audiogram-threshold", "Audiogram: threshold");
    public static readonly Term EarlierThreshold = Item("audiogram-threshold-earlier", "Audiogram: earlier threshold to compare with");
    public static readonly Term DerivedThreshold = Item("derived-audiogram-threshold", "From earlier visits: threshold of an earlier audiogram");
    public static readonly Term DerivedDischargeRecurs = Item("derived-discharge-recurs", "From earlier visits: discharge comes back");
    public static readonly Term DerivedPerforationFirstSeen = Item("derived-perforation-first-seen", "From earlier visits: hole in the drum first seen");
    public static readonly Term DerivedIrrigationAttempts = Item("derived-irrigation-attempts", "From earlier visits: irrigations that did not clear the ear, this visit included");
    public static readonly Term PossibleCause = Item("possible-cause", "Possible cause, to be asked about");
    public static readonly Term PushedIn = Item("pushed-in", "Wax pushed in from outside");
    public static readonly Term Firmness = Item("deposit-firmness", "Firmness");
    public static readonly Term Moisture = Item("deposit-moisture", "Moisture");
    public static readonly Term Stickiness = Item("deposit-stickiness", "Stickiness");
    public static readonly Term Adherence = Item("deposit-adherence", "Adherence");
    public static readonly Term Colour = Item("deposit-colour", "Colour");
    public static readonly Term Layers = Item("deposit-layers", "Number of layers");
    public static readonly Term Occlusion = Item("deposit-occlusion", "Filling of the canal");
    public static readonly Term Depth = Item("deposit-depth", "Depth of the outer end from the canal opening");
    public static readonly Term Length = Item("deposit-length", "Length of what came out");
    public static readonly Term SkinWithIt = Item("deposit-skin", "Skin came out with it");
    public static readonly Term LocationPart = Item("location-part", "Part of the ear");
    public static readonly Term LocationWall = Item("location-wall", "Wall of the canal");
    public static readonly Term LocationQuadrant = Item("location-quadrant", "Part of the drum");
    public static readonly Term Order = Item("step-order", "Place in the order of steps");
    public static readonly Term Instrument = Item("step-instrument", "Instrument");
    public static readonly Term SuctionDiameter = Item("step-suction-diameter", "Outer diameter of the suction end");
    public static readonly Term SuctionEnd = Item("step-suction-end", "Suction end");
    public static readonly Term SuctionPressure = Item("step-suction-pressure", "Suction pressure");
    public static readonly Term WaterTemperature = Item("step-water-temperature", "Water temperature");
    public static readonly Term View = Item("step-view", "View");
    public static readonly Term Liquid = Item("step-liquid", "Liquid introduced");
    public static readonly Term WorkedOn = Item("step-deposit", "Deposit worked on");
    public static readonly Term ChangeReason = Item("step-change-reason", "Reason for changing the instrument");
    public static readonly Term Attempts = Item("step-attempts", "Attempts");
    public static readonly Term Result = Item("step-result", "What the step achieved");
    public static readonly Term OnPurpose = Item("residual-on-purpose", "Left on purpose");
    public static readonly Term Masked = Item("threshold-masked", "Other ear masked");
    public static readonly Term Conduction = Item("threshold-conduction", "Conduction");
    public static readonly Term Frequency = Item("threshold-frequency", "Frequency");
    public static readonly Term NoResponse = Item("threshold-no-response", "No response at the limit of the audiometer");

    public static readonly Term Before = Of(CodeSystems.ExaminationMoment, "before", "Before the procedure");
    public static readonly Term After = Of(CodeSystems.ExaminationMoment, "after", "After the procedure");
    public static readonly Term ReferralSent = Of(CodeSystems.ReferralBusinessStatus, "referral-sent", "Referral sent");
    public static readonly Term EarCareReferral = Of(CodeSystems.ReferralCategory, "ear-care-referral", "Referral from ear care");
    public static readonly Term ConsentTreatment = Of(CodeSystems.ConsentUse, "treatment", "Agreement to the procedure");
    public static readonly Term ConsentRecordingImages = Of(CodeSystems.ConsentUse, "recording-images", "Agreement to recording images");
    public static readonly Term ConsentSharingWithGp = Of(CodeSystems.ConsentUse, "sharing-with-gp", "Agreement to sharing with the GP practice");
    public static readonly Term ConsentSharingWithEnt = Of(CodeSystems.ConsentUse, "sharing-with-ent", "Agreement to sharing with ENT");
    public static readonly Term ConsentUseBeyondCare = Of(CodeSystems.ConsentUse, "use-beyond-care", "Agreement to use beyond the patient's own care");
    public static readonly Term SuspectedCancer = Of(CodeSystems.ReferralCategory, "suspected-cancer", "Suspected cancer referral");

    /// <summary>The codes that stand beside the catalogue rows in the code system <see cref="CodeSystems.Finding"/>.</summary>
    public static IReadOnlyList<Term> RecordItems { get; } =
    [
        Deposit, Step, Residual, Threshold, EarlierThreshold, DerivedThreshold, DerivedDischargeRecurs, DerivedPerforationFirstSeen, DerivedIrrigationAttempts,
        PossibleCause, PushedIn, Firmness, Moisture, Stickiness, Adherence, Colour, Layers, Occlusion, Depth,
        Length, SkinWithIt, LocationPart, LocationWall, LocationQuadrant, Order, Instrument, SuctionDiameter, SuctionEnd, SuctionPressure,
        WaterTemperature, View, Liquid, WorkedOn, ChangeReason, Attempts, Result, OnPurpose, Masked, Conduction, Frequency, NoResponse,
    ];

    /// <summary>A finding of the catalogue as a coding.</summary>
    public static Coding Finding(string code, string display) => new(CodeSystems.Finding, code, display);

    private static Term Item(string code, string display) => Of(CodeSystems.Finding, code, display);

    private static Term Of(string system, string code, string display) => new(system, code, display, Evidence.Specification, "EarReferral code systems 1.0.0");
}
