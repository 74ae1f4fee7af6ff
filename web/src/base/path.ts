/**
 * Paths of fields, as TOML writes dotted keys, with an entry's place in its list in brackets:
 * car.front.track, rack.slow.boost[2].torque, spacer."8.5 mm".thickness.
 */

/** A name, or an entry's place in its list. */
export type Segment = string | number;

// JSON's escapes are a subset of TOML's; only DEL may stand bare in JSON but not in TOML.
const named = (name: string) =>
  /^[\w-]+$/.test(name) ? name : JSON.stringify(name).replaceAll('\x7f', '\\u007f');

/** "rack.slow.boost[2].torque" as ["rack", "slow", "boost", 2, "torque"]; what is no path as a name. */
export function segments(path: string): Segment[] {
  const steps = [...path.matchAll(/(?:^|(?!^)\.)(?:([\w-]+)|("(?:[^"\\]|\\.)*"))|\[(\d+)\]/gy)];
  if (steps.reduce((length, [step]) => length + step.length, 0) < path.length) return [path];
  return steps.map(([, bare, quoted, index]) =>
    index !== undefined ? Number(index) : (bare ?? (JSON.parse(quoted ?? '') as string)),
  );
}

/** The inverse of `segments`. */
export const joinPath = (...list: Segment[]) =>
  list
    .map((segment, i) =>
      typeof segment === 'number' ? `[${segment}]` : `${i ? '.' : ''}${named(segment)}`,
    )
    .join('');

/** A path that goes on from another one. */
export const below = (path: string, ...list: Segment[]) => joinPath(...segments(path), ...list);
