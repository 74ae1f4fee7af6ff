import type { Identify } from './identify';
import type { Job } from './jobs';
import type { NewestSearch, Rank, SearchResult } from './search';
import type { History, Order } from './simulate';
import type {
  BenchDocument,
  Changed,
  Check,
  Compare,
  Curve,
  CurveKind,
  Edit,
  Fields,
  Pose,
  Problem,
  Revision,
  Session,
  Units,
} from './types';
import type { Turn } from './turn';

/** A refusal of the server, in its own words. */
export class ApiError extends Error {
  constructor(
    readonly status: number,
    readonly code: string,
    message: string,
    readonly problems: Problem[] = [],
    readonly conflicts: { path: string; value: unknown }[] = [],
    readonly revision: number | null = null,
    readonly where: string | null = null,
  ) {
    super(message);
  }
}

async function refusal(response: Response): Promise<ApiError> {
  let error: Record<string, unknown> = {};
  try {
    error = ((await response.json()) as { error?: Record<string, unknown> }).error ?? {};
  } catch {
    // Not JSON: the status says all there is.
  }
  return new ApiError(
    response.status,
    String(error.code ?? response.status),
    String(error.message ?? `the server answered ${response.status} ${response.statusText}`),
    (error.problems ?? []) as Problem[],
    (error.changed ?? []) as { path: string; value: unknown }[],
    typeof error.revision === 'number' ? error.revision : null,
    typeof error.where === 'string' ? error.where : null,
  );
}

async function answer<T>(request: Promise<Response>): Promise<T> {
  let response: Response;
  try {
    response = await request;
  } catch {
    throw new ApiError(0, 'unreachable', 'steerbench does not answer: is it still running?');
  }
  if (!response.ok) throw await refusal(response);
  return (await response.json()) as T;
}

type Query = Record<string, string | number | undefined>;

/** Path with query; what is undefined is left out. */
export function address(path: string, query: Query = {}): string {
  const parts = Object.entries(query)
    .filter(([, value]) => value !== undefined && value !== '')
    .map(([key, value]) => `${key}=${encodeURIComponent(String(value))}`);
  return parts.length ? `${path}?${parts.join('&')}` : path;
}

const get = <T>(path: string, query?: Query) =>
  answer<T>(fetch(address(path, query), { headers: { Accept: 'application/json' } }));

const post = <T>(path: string, body: unknown) =>
  answer<T>(
    fetch(path, {
      method: 'POST',
      headers: { 'Content-Type': 'application/json' },
      body: JSON.stringify(body),
    }),
  );

/** How many shares of the ± are asked for with each figure. */
const inputs = 8;

/** Who this window is, so that it knows its own edits among the events. */
export const client = crypto.getRandomValues(new Uint32Array(2)).join('-');

const poseQuery = (pose: Pose): Query => ({
  setup: pose.setup,
  hand_wheel: pose.handWheel,
  travel: pose.handWheel === undefined ? (pose.travel ?? 0) : undefined,
  left: pose.left,
  right: pose.right,
  road_speed: pose.roadSpeed,
  engine_speed: pose.engineSpeed,
  temperature: pose.temperature,
});

/** The API of the server, one function per route. */
export const engine = {
  session: () => get<Session>('/api/session'),
  pair: (code: string) => post<unknown>('/api/pair', { code }),
  document: () => get<BenchDocument>('/api/document'),
  fields: () => get<Fields>('/api/fields'),
  check: (units: Units) => get<Check>('/api/check', { units, inputs }),
  /** One setup, drawn many times over the ± of its numbers. */
  draw: (setup: string, units: Units) =>
    get<Check>('/api/check', { setup, units, inputs: 0, draws: 2000 }),
  compare: (base: string, units: Units) => get<Compare>('/api/compare', { base, units, inputs }),
  curve: (of: CurveKind, setup: string, units: Units, withPm = false) =>
    get<Curve>('/api/curve', { of, setup, units, pm: withPm ? 1 : undefined }),
  identify: (units: Units) => get<Identify>('/api/identify', { units }),
  newestSearch: () => get<NewestSearch>('/api/search'),
  startSearch: (most: number, resume?: number) =>
    post<{ id: number }>('/api/jobs', { verb: 'search', most, resume }),
  searchJob: (id: number, units: Units) => get<Job<SearchResult>>(`/api/jobs/${id}`, { units }),
  startSimulation: (setup: string, order: Order) =>
    post<{ id: number }>('/api/jobs', { verb: 'simulate', setup, ...order }),
  simulationJob: (id: number) => get<Job<History>>(`/api/jobs/${id}`),
  stopJob: (id: number) => post<unknown>(`/api/jobs/${id}/stop`, {}),
  ranking: (job: number, weights: Record<string, number>) =>
    get<{ ranking: Rank[] }>(`/api/jobs/${job}/ranking`, weights),
  turnOfEntry: (job: number, entry: number, best: boolean, travel: number) =>
    get<Turn>('/api/turn', { job, entry, best: best ? 1 : undefined, travel }),
  checkOfEntry: (job: number, entry: number, best: boolean, units: Units) =>
    get<Check>('/api/check', { job, entry, best: best ? 1 : undefined, units, inputs }),
  turn: (pose: Pose) => get<Turn>('/api/turn', poseQuery(pose)),
  turnWithPm: (pose: Pose, units: Units) =>
    get<Turn>('/api/turn', { ...poseQuery(pose), pm: 1, units, inputs }),
  edit: (base: number, edits: Edit[], what?: string) =>
    post<Changed>('/api/edit', { base, edits, client, what }),
  undo: (base: number) => post<Changed>('/api/undo', { base, client }),
  redo: (base: number) => post<Changed>('/api/redo', { base, client }),
  history: () => get<{ revisions: Revision[] }>('/api/history'),
  nameRevision: (revision: number, name: string) =>
    post<unknown>('/api/history/name', { revision, name }),
  restore: (revision: number, base: number) =>
    post<Changed>('/api/history/restore', { revision, base, client }),
  importText: (text: string, base: number) => post<Changed>('/api/import', { text, base, client }),
};
