// What the server answers about the axle as it stands.
import type { Figure, Point } from './types';

export interface Wheel {
  steer: number | null;
  /** Positive where the rack's way to the left steers left [rad/m]. */
  steer_per_travel?: number | null;
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
