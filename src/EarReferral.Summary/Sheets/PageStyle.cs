namespace EarReferral.Summary.Sheets;

/// <summary>The one style sheet: light, dark and paper. It must hold no character that XML has to escape, for its hash stands in a header.</summary>
internal static class PageStyle
{
    public const string Sheet = """
        :root { color-scheme: light dark; --ink: #1b1f24; --soft: #4b5560; --paper: #ffffff; --line: #8a939c; --fill: #e8dcc4; --notice: #fff3d6; --right: #c01818; --left: #1846c0; }
        @media (prefers-color-scheme: dark) { :root { --ink: #eceff1; --soft: #b8c0c8; --paper: #15181b; --line: #7d868f; --fill: #6a5a36; --notice: #4a3b12; --right: #ff8a80; --left: #8ab4ff; } }
        body { margin: 0; background: var(--paper); color: var(--ink); font: 1rem/1.5 system-ui, sans-serif; }
        main { max-width: 52rem; margin: 0 auto; padding: 1rem; overflow-wrap: anywhere; }
        h1 { font-size: 1.5rem; margin: 0 0 .5rem; }
        h2 { font-size: 1.15rem; margin: 1.5rem 0 .5rem; border-bottom: 1px solid var(--line); }
        dl { display: flex; flex-wrap: wrap; gap: .25rem 1.5rem; margin: 0; }
        dl div { display: flex; gap: .5rem; }
        dt { color: var(--soft); }
        dd { margin: 0; font-weight: 600; }
        ul { margin: .25rem 0; padding-left: 1.25rem; }
        p { margin: .5rem 0 .25rem; }
        .lead { font-weight: 600; }
        .large { font-size: 1.5rem; }
        section.first { border: 2px solid var(--ink); padding: 0 1rem .75rem; margin-top: 1rem; }
        .notice { background: var(--notice); border: 2px solid var(--ink); padding: .5rem 1rem; font-weight: 600; }
        .pictures { display: flex; flex-wrap: wrap; gap: 1rem; }
        figure { flex: 1 1 20rem; margin: 0; border: 1px solid var(--line); padding: .5rem; }
        figcaption { font-size: .9rem; }
        .ear { display: block; width: 100%; height: auto; font-family: system-ui, sans-serif; }
        .ear .outline { fill: none; stroke: var(--ink); stroke-width: 2; }
        .ear .detail { fill: none; stroke: var(--line); stroke-width: 1; stroke-dasharray: 3 2; }
        .ear .unseen { stroke: var(--line); stroke-width: 1; }
        .ear .hatch { stroke: var(--line); stroke-width: 1.5; }
        .ear .mark { fill: var(--fill); stroke: var(--ink); stroke-width: 1.5; }
        .ear .open-mark { fill: var(--paper); stroke: var(--ink); stroke-width: 1.5; }
        .ear .right-ear { fill: none; stroke: var(--right); stroke-width: 2; }
        .ear .left-ear { fill: none; stroke: var(--left); stroke-width: 2; }
        .ear .caption { fill: var(--soft); }
        .ear .number { fill: var(--ink); font-weight: 700; }
        footer { margin-top: 2rem; border-top: 1px solid var(--line); color: var(--soft); font-size: .9rem; }
        @media print { :root { --ink: #000000; --soft: #333333; --paper: #ffffff; --line: #666666; --fill: #e8dcc4; --notice: #ffffff; --right: #c01818; --left: #1846c0; } body { font-size: 10.5pt; } .large { font-size: 18pt; } main { max-width: none; padding: 0; } section, figure { break-inside: avoid; } }
        """;
}
