namespace EarReferral.Summary.Drawing;

/// <summary>How a primitive is drawn; what each looks like is for the renderer, on paper as on a dark page.</summary>
public enum Ink
{
    /// <summary>Outline of the anatomy.</summary>
    Outline,

    /// <summary>Thin line of the anatomy.</summary>
    Detail,

    /// <summary>What nobody saw: hatched.</summary>
    Unseen,

    /// <summary>A mark, filled.</summary>
    Mark,

    /// <summary>A mark, empty inside.</summary>
    OpenMark,

    /// <summary>Words of the anatomy.</summary>
    Caption,

    /// <summary>The number of a mark.</summary>
    Number,

    /// <summary>A line of the right ear in an audiogram: red, and known by its round symbols.</summary>
    RightEar,

    /// <summary>A line of the left ear in an audiogram: blue, and known by its crosses.</summary>
    LeftEar,
}
