/** The shapes that the server answers with. Numbers are SI; texts are in the units asked for. */

import type { Changes } from './changes';

export type Units = 'as-written' | 'metric' | 'imperial';
export type Status = 'holds' | 'close' | 'exceeded' | 'unknown';
export type Point = readonly [number, number, number | null];

/** How much of a figure's squared ± an input makes. */
export interface Share {
  input: string;
  sensitivity_si: number;
  share: number;
}

export interface Figure {
  si: number | null;
  si_unit?: string;
  si_pm?: number | null;
  text?: string;
  assumed?: boolean;
  pm_too_narrow?: boolean;
  from?: Share[];
  label?: string;
  side?: string;
  group?: string;
  meaning?: string;
  source?: string;
  missing?: string[];
  /** Whether it is one by which people mostly choose. */
  decides?: boolean;
  change?: { si: number; si_pm?: number | null; same: boolean; text?: string } | null;
}

export interface TravelLimit {
  limit: string;
  label?: string;
  circumstance?: string;
  binds: boolean;
  travel: Figure | null;
  margin: Figure | null;
  status: Status;
  wheel?: string;
  wheel_travel_si?: number;
  obstacle?: string;
  missing?: string[];
  absent?: boolean;
  beyond_travel_looked_at?: boolean;
}

export interface Margin {
  status: Status;
  margin: Figure | null;
  label: string;
  source: string;
  bound_text?: string;
  circumstance?: string;
  least_si?: number;
  most_si?: number;
  missing?: string[];
  absent?: boolean;
}

export interface Caution {
  key: string;
  text: string;
}

export type FitStatus = 'fits' | 'differs' | 'unknown';

/** Two faces that meet; paths as "rack.quick.face[0]". */
export interface Joint {
  at: string;
  one: string;
  other: string;
  /** With the best adapter fitted. */
  status: FitStatus;
  as_they_are: FitStatus;
  text: string[];
}

/** What a setup lacks. */
export interface Need {
  key: string;
  text: string;
  field?: string;
  adapter?: string;
}

/** A number with its ± and as text; `si_pm` is null where it has none. */
export interface Told {
  si: number;
  si_pm: number | null;
  text: string;
}

/** A reading made on the assembled car, beside what is computed of the same. */
export interface Compared {
  /** The key of the result, and of the reading in the table `seen`. */
  result: string;
  name: string;
  status: '✓ agrees' | '✗ DIFFERS' | '? not known';
  seen: Told;
  /** These two only where the result is known. */
  computed?: string;
  /** Seen less computed. */
  difference?: Told;
}

/** A number of the file that would have to be so, if it alone were off, to meet the readings. */
export interface Suspect extends Told {
  input: string;
  /** By how many of its own ± it would be off; null where it states none. */
  times_its_pm: number | null;
  /** All readings then agree. */
  explains: boolean;
}

/** A number with the readings counted. */
export interface Counted extends Told {
  name: string;
  /** Whether it changes so much that it is worth a line. */
  shown: boolean;
}

/** What is computed of a setup, held against the readings in its table `seen`. */
export interface Held {
  /** Each reading by itself, and all together. */
  agree: boolean;
  compared: Compared[];
  /** Empty where they agree; the least far off first. */
  suspects: Suspect[];
  /** These two only where they agree: values with the readings counted. */
  inputs: (Counted & { input: string })[];
  results: (Counted & { result: string })[];
}

/** A limit, and in which share of the draws. */
export interface ShareOfDraws {
  limit: string;
  rack?: 'left' | 'right';
  name: string;
  share: number;
  text: string;
  /** Of how many draws it is a share where it is not known in all. */
  note: string;
}

/** What a setup does all over the ± of its numbers. */
export interface DrawnOver {
  draws: number;
  /** Limits that are exceeded in some of them, most often first. */
  exceeded: ShareOfDraws[];
  runs_out_first: { left: ShareOfDraws[]; right: ShareOfDraws[] };
  /** Results whose middle 95 % lies otherwise than their ± says. */
  otherwise: { result: string; name: string; stated: string; middle: string }[];
  /** Sentences on what is not known, or not so. */
  remarks: string[];
}

export interface SetupResult {
  name: string;
  note?: string;
  /** Only in a comparison, and not of its base. */
  changes?: { shown: Changes };
  level: string;
  fitted?: Record<string, string>;
  taken_for_granted: string[];
  /** Only where a control valve has not the current asked for. */
  control_trouble?: { text: string[]; weight: string };
  /** Only where it was asked for. */
  drawn?: DrawnOver;
  /** Only where the setup holds readings made on the car. */
  seen?: Held;
  trouble: string[];
  notes: string[];
  results: Record<string, Figure>;
  /** Null where nothing can be weighed. */
  breakdown: Record<string, Record<string, number>> | null;
  travel_limits: { left: TravelLimit[]; right: TravelLimit[] };
  margins: Record<string, Margin>;
  /** Only where two faces meet. */
  fit?: { status: FitStatus; joints: Joint[] };
  needs?: Need[];
  cautions: Caution[];
}

export interface Check {
  revision: number;
  title: string;
  setups: SetupResult[];
  unlocks?: { field: string; results: number }[];
}

export interface Compare extends Check {
  base: string;
}

export interface Curve {
  revision: number;
  setup: string;
  columns: { key: string; label: string; si_unit: string }[];
  rows: (number | null)[][];
  /** Models used outside the range they are good for, with the columns it bears on. */
  doubts?: { text: string; columns: string[] }[];
}

export type CurveKind = 'linkage' | 'kerb' | 'road' | 'boost' | 'pump';

export interface Problem {
  path?: string;
  line?: number;
  column?: number;
  message: string;
  warning?: boolean;
}

export type FormValue = string | number | boolean | FormTable | FormValue[];
export interface FormTable {
  [key: string]: FormValue;
}

export interface StepNote {
  revision: number;
  what: string;
}

export interface BenchDocument {
  revision: number;
  name: string;
  title: string;
  toml: string;
  /** Null while the document has problems. */
  form: FormTable | null;
  problems: Problem[];
  /** Why the file could not be written; the edit itself is kept. */
  unsaved?: string | null;
  undo: StepNote | null;
  redo: StepNote | null;
}

export interface FieldInfo {
  key: string;
  kind: string;
  help: string;
  unit?: string;
  choices?: string[];
  part?: string;
}

export interface FieldTable {
  path: string;
  /** The heading that it goes under. */
  section: { id: string; title: string };
  help: string;
  fields: FieldInfo[];
}

export interface Fields {
  tables: FieldTable[];
}

export type EditValue = string | number | boolean | null | QuantityTable;
export interface QuantityTable {
  value: string;
  tolerance?: string;
  from?: string | null;
  note?: string | null;
}
export type Edit =
  | { path: string; value: EditValue }
  /** The setup at the path is called so from now on. */
  | { path: string; name: string };

/** What the hands on the screen ask of the linkage; null: not said. */
export interface Pose {
  setup: string;
  handWheel?: number;
  travel?: number;
  left?: number;
  right?: number;
  roadSpeed?: number;
  engineSpeed?: number;
  temperature?: number;
}

export interface Revision {
  revision: number;
  when: string;
  what: string;
  name: string | null;
  client: string | null;
}

export interface Session {
  title: string;
  version: string;
  lan: boolean;
  paired: boolean;
  client_is_loopback?: boolean;
  /** Those that a phone may open; told on the machine itself only. */
  addresses?: string[];
}

export interface Changed {
  revision: number;
  changed?: string[];
  what?: string;
  unsaved?: string | null;
}

export interface RevisionEvent {
  revision: number;
  client: string | null;
  changed?: string[];
}
