namespace EarReferral.Storage.Search;

/// <summary>How old the search index is that this process reads.</summary>
internal sealed class SearchIndexState
{
    private volatile IndexProgress? progress;

    /// <summary>Version of the index as far as it covers every resource; that of this build until the store says otherwise.</summary>
    public int Version => progress?.FromVersion ?? SearchParameters.IndexVersion;

    /// <summary>The renewal that is needed or under way.</summary>
    public IndexProgress? Progress
    {
        get => progress;
        set => progress = value;
    }

    public void Begin(int fromVersion, int total) => progress = new IndexProgress(fromVersion, 0, total);

    public void Renewed() => progress = null;
}

/// <summary>A renewal of the search index.</summary>
/// <param name="FromVersion">Version that the old index has.</param>
/// <param name="Done">Resources indexed anew.</param>
/// <param name="Total">Resources there were when it began.</param>
public sealed record IndexProgress(int FromVersion, int Done, int Total);
