/** The shapes of searches. See docs/json.md. Numbers are SI. */

export interface AimValue {
  si: number | null;
  si_pm?: number;
  text: string;
}

/** A part, adapter or job that an entry takes beyond the base. */
export interface Piece {
  of: string;
  name: string;
  title: string;
  count: number;
  owned: boolean;
  lasting: boolean;
  source: string;
  /** What it must be ordered by, and what of that the file does not say. */
  facts: string[];
  ask: string[];
  text: string;
  price_text: string;
  hours_text: string;
}

/** A combination, against the setup that the car has now. */
export interface Entry {
  changes: { of: string; from: string; to: string; text: string }[];
  aims: Record<string, AimValue>;
  better_than_now: Record<string, number>;
  gains: string[];
  gives_up: string[];
  adapters: string[];
  needs: string[];
  pieces: Piece[];
  total: { text: string };
  faces_unknown: boolean;
  exceeded: string[];
  close: string[];
  unknown: string[];
  weakest: string;
  weakest_chance: number | null;
  alike: number;
  /** Fields of a setup with their values, as edits take them. */
  setup: Record<string, string>;
  polished?: {
    settings: { of: string; si: number; text: string; at_bound: boolean }[];
    cautions: string[];
    entry: Entry;
  };
}

export interface WishSaid {
  aim: string;
  label: string;
  meaning: string;
  si_unit: string;
  text: string;
  want: 'less' | 'more' | 'near' | null;
}

export interface Rank {
  /** Index among the entries. */
  entry: number;
  balance: number;
  beats_next: number | null;
}

export interface SearchResult {
  revision: number;
  base: string;
  combinations: number;
  looked_at: number;
  wishes: WishSaid[];
  wishes_assumed: boolean;
  /** How many times as wide as usual the steps are in which values were compared. */
  step_width: number;
  /** Where nothing keeps every limit and wish: what comes nearest. */
  nearest: { of_all: boolean; misses: { text: string }[]; entry: Entry } | null;
  now: Entry;
  entries: Entry[];
  not_shown: number;
  ranking: Rank[];
  /** For each pair of wishes the entries that no other one beats in both. */
  unbeaten: { aims: [string, string]; entries: number[] }[];
  left_out: { reason: string; count: number }[];
  caution: string;
}

export interface NewestSearch {
  id: number | null;
  revision: number | null;
  current: boolean;
}
