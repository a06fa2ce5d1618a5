using System.Collections.Concurrent;

namespace EarReferral.Validation.Engine;

/// <summary>The keys of content that was found clean, at most so many; safe to use from several threads.</summary>
/// <remarks>Two generations: when the young one is full it becomes the old one, and what the old one still holds and is asked for moves back to the young one.</remarks>
internal sealed class CleanMemory(int capacity)
{
    private readonly Lock _turnover = new();
    private volatile ConcurrentDictionary<ContentDigest, byte> _young = [];
    private volatile ConcurrentDictionary<ContentDigest, byte> _old = [];

    /// <summary>How many keys are held; never more than the capacity.</summary>
    public int Count => _young.Count + _old.Count;

    public bool Contains(ContentDigest key)
    {
        if (_young.ContainsKey(key))
        {
            return true;
        }

        if (!_old.ContainsKey(key))
        {
            return false;
        }

        Add(key);
        return true;
    }

    public void Add(ContentDigest key)
    {
        lock (_turnover)
        {
            if (_young.Count >= capacity / 2)
            {
                _old = _young;
                _young = [];
            }

            _young.TryAdd(key, 0);
        }
    }
}
