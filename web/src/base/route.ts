/** What a reload brings back: it stands in the address. Angles [rad], lengths [m], SI throughout. */
export interface Route {
  /** Empty where the address names none. */
  view: string;
  setup: string | null;
  handWheel: number;
  left: number;
  right: number;
  roadSpeed: number | null;
  engineSpeed: number | null;
  temperature: number | null;
  look: string | null;
}

export const start: Route = {
  view: '',
  setup: null,
  handWheel: 0,
  left: 0,
  right: 0,
  roadSpeed: null,
  engineSpeed: null,
  temperature: null,
  look: null,
};

const names: [keyof Route, string][] = [
  ['handWheel', 'hand-wheel'],
  ['left', 'left'],
  ['right', 'right'],
  ['roadSpeed', 'road-speed'],
  ['engineSpeed', 'engine-speed'],
  ['temperature', 'temperature'],
];

/** Reads "#/turn?setup=calm&hand-wheel=1.2"; what it cannot read is as at the start. */
export function readRoute(hash: string): Route {
  // A pairing code stands in the address without a stroke, and names no view.
  const [path = '', query = ''] = (/^#\/(.*)$/.exec(hash)?.[1] ?? '').split('?');
  const given = new URLSearchParams(query);
  const route: Route = { ...start, view: path };
  route.setup = given.get('setup');
  route.look = given.get('look');
  for (const [key, name] of names) {
    const number = Number.parseFloat(given.get(name) ?? '');
    if (Number.isFinite(number)) Object.assign(route, { [key]: number });
  }
  return route;
}

/** The inverse of `readRoute`. */
export function writeRoute(route: Route): string {
  const given = new URLSearchParams();
  if (route.setup) given.set('setup', route.setup);
  if (route.look) given.set('look', route.look);
  for (const [key, name] of names) {
    const value = route[key];
    if (typeof value === 'number' && value !== start[key]) {
      given.set(name, String(Number(value.toPrecision(7))));
    }
  }
  const query = given.toString();
  return `#/${route.view}${query ? `?${query}` : ''}`;
}

/** The view to open where the address names none: with nothing known there is nothing to turn. */
export function firstView(setups: { results: Record<string, { si: number | null }> }[]): string {
  const known = setups.some(({ results }) => Object.values(results).some(({ si }) => si !== null));
  return known ? 'turn' : 'car';
}
