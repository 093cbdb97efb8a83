import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';

const read = (path: string) => readFileSync(new URL(path, import.meta.url), 'utf8');
const css = read('./tokens.css');
const rows = [...read('../../../docs/looks.md').matchAll(/^\| (\w+) \| `(#\w+)` \| `(#\w+)` \| `(#\w+)` \|/gm)];

// colours returns the declarations of every rule whose text before the brace
// holds a selector.
const colours = (selector: RegExp) => [...css.matchAll(/([^{}]+)\{([^{}]*--ground[^{}]*)\}/g)].filter((m) => selector.test(m[1]!.trim())).map((m) => m[2]!);

describe('tokens', () => {
  it('are the colours of docs/looks.md', () => {
    expect(rows.length).toBe(7);
    const light = colours(/^(?!.*data-light)[\s\S]*:root$/), dark = colours(/not\(\[data-light="light"\]\)|="dark"/), print = colours(/:root\[data-light\]$/);
    expect([light.length, dark.length, print.length]).toEqual([1, 2, 1]);
    for (const [, name, l, d, p] of rows) {
      for (const rule of light) expect(rule).toContain(`--${name}: ${l};`);
      for (const rule of dark) expect(rule).toContain(`--${name}: ${d};`);
      for (const rule of print) expect(rule).toContain(`--${name}: ${p};`);
    }
  });
});
