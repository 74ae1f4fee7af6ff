/** What makes one setup another, and how much of the difference each change does. */

/** What one change makes of a result, as text; "?" is not known. */
export interface Effect {
  alone: string;
  /** Where all the others are made already; empty where that is the same. */
  last: string;
  /** Both are nothing. */
  none: boolean;
}

/** What each of several changes makes of the results by which people decide, as text. */
export interface ChangeTable {
  /** Names of the changes that act. */
  swaps: string[];
  rows: { name: string; all: string; effects: Effect[] }[];
  /** Names of the changes that change none of these. */
  idle: string[];
}

/** What each change against the base makes, and a rack's taken apart into what the rack has. */
export interface Changes extends ChangeTable {
  apart: (ChangeTable & { swap: string })[];
}
