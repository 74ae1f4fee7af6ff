/** The shapes that the server answers with. Numbers are SI; texts are in the units asked for. */

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
  least_si?: number;
  most_si?: number;
  missing?: string[];
  absent?: boolean;
}

export interface Caution {
  key: string;
  text: string;
}

export interface SetupResult {
  name: string;
  note?: string;
  level: string;
  fitted?: Record<string, string>;
  taken_for_granted: string[];
  /** Only where a control valve has not the current asked for. */
  control_trouble?: { text: string[]; weight: string };
  trouble: string[];
  notes: string[];
  results: Record<string, Figure>;
  /** Null where nothing can be weighed. */
  breakdown: Record<string, Record<string, number>> | null;
  travel_limits: { left: TravelLimit[]; right: TravelLimit[] };
  margins: Record<string, Margin>;
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
  title?: string;
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
export interface Edit {
  path: string;
  value: EditValue;
}

export interface Wheel {
  steer: number | null;
  camber: number | null;
  caster: number | null;
  inclination: number | null;
  scrub: number | null;
  trail: number | null;
  toe: number | null;
  wheel_travel: number | null;
  rod_arm_angle: number | null;
  inner_tilt: number | null;
  outer_tilt: number | null;
  centre: Point | null;
  spin?: Point | null;
  axis?: { upper: Point; lower: Point } | null;
  ground?: { patch?: Point | null; axis?: Point | null } | null;
  points?: Record<string, Point>;
  links?: [string, string, string][];
}

export interface TurnEnd {
  /** How far the rack can go this way [m, positive]; null: not known. */
  travel: number | null;
  limit?: string | null;
  label?: string | null;
}

/** What the hand wheel weighs, standing, turned on from here. */
export interface Weight {
  torque: number | null;
  pull: number | null;
  pressure: number | null;
  flow: number | null;
}

export interface Circle {
  centre: [number, number];
  kerb: number | null;
  wall: number | null;
  /** Radii of the wheels' paths. */
  paths: Partial<Record<'front_left' | 'front_right' | 'rear_left' | 'rear_right', number>>;
}

export interface Obstacle {
  name: string;
  at: Point | null;
  gap: number | null;
}

export interface Turn {
  revision: number;
  setup: string;
  level: string;
  travel: number | null;
  hand_wheel: number | null;
  travel_range: { left: TurnEnd | null; right: TurnEnd | null };
  reached: boolean;
  why?: string | null;
  wheels: { left: Wheel | null; right: Wheel | null };
  rack?: { left: Point; right: Point } | null;
  circle?: Circle | null;
  ackermann: number | null;
  pump_speed: number | null;
  weight?: { turn_left: Weight | null; turn_right: Weight | null } | null;
  missing?: string[];
  tyre?: { radius: number | null; width: number | null } | null;
  car?: {
    wheelbase: number | null;
    body_width: number | null;
    rear_track: number | null;
    front_overhang: number | null;
    obstacles?: Obstacle[];
  };
  figures?: Record<string, Figure>;
}

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
