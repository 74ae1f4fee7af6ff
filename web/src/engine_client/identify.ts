/** The shape of `/api/identify`: which variant a part of unknown history is. See docs/json.md. */

export interface Candidate {
  name: string;
  none: boolean;
  title: string;
  part: string | null;
  probability: number;
  text: string;
  left: boolean;
}

export interface Look {
  row: number;
  feature: string;
  answer: { field: string; text: string } | null;
  wrong: number;
  counts: boolean;
  text: string;
  note: string;
}

export interface Question {
  feature: string;
  ask: string;
  how: string;
  bits: number | null;
  /** Of the row that answers it: "yes", "is", "count", "length" ...; empty: no variant says. */
  field: string;
  words: string[];
  unit: string;
  text: string;
}

export interface Riddle {
  name: string;
  title: string;
  settled: boolean;
  fills: string | null;
  answer: string | null;
  /** This and what follows is missing while the riddle has no variant. */
  verdict?: string;
  variants?: Candidate[];
  seen?: Look[];
  contradictions?: { kind: string; feature: string; rows: number[]; text: string }[];
  next?: Question[];
  order?: { thing: string; safe: boolean; text: string }[];
  may_be_none?: boolean;
  disputed?: boolean;
  differences?: { field: string; text: string }[];
  taken_for_granted?: string[];
}

export interface Identify {
  revision: number;
  title: string;
  riddles: Riddle[];
}
