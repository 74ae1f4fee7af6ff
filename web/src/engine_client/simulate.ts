/** The shapes of time histories. See docs/json.md. Numbers are SI. */
import type { Curve } from './types';

/** What the hand does; empty texts are as usual for the run. */
export interface Order {
  run: string;
  amplitude: string;
  time: string;
  duration: string;
  engine_speed: string;
  air: string;
}

/** What a run comes to, one figure with what goes with it. */
export interface Remark {
  key: string;
  label: string;
  si: number | null;
  si_unit: string;
  note: string;
}

export interface History extends Curve {
  taken_for_granted: string[];
  summary: Remark[];
}
