namespace EarReferral.Encounters;

/// <summary>An answer to a question; <see cref="NotAsked"/> is never <see cref="No"/>.</summary>
public enum Answer { Yes, No, NotAsked }

/// <summary>What an examiner saw; <see cref="NotSeen"/> is never <see cref="Absent"/>.</summary>
public enum Sign { Present, Absent, NotSeen }

/// <summary>The patient's own right or left, never relative to a picture.</summary>
public enum EarSide { Right, Left }

/// <summary>The side of a sign on the face, seen from the patient.</summary>
public enum BodySide { Right, Left, Both, None, NotAsked }

/// <summary>How a treatment worked.</summary>
public enum TreatmentResponse { Yes, No, Partial, NotAsked }

/// <summary>How bad a symptom is, in the words of the patient or the examiner.</summary>
public enum Severity { None, Mild, Moderate, Severe, NotAsked }
