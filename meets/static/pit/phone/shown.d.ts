// What a screen shows: the state as the server worded it, with what this phone saved laid over it. Types only.

import type { Context, PhoneState } from "./types.js";

export interface Person {
  event: number;
  bib: string;
  name: string;
  school: string;
  year: string;
  tags: string[];
  board_cm: number | null;
  board: string;
  best: string;
  best_mark: number | null;
  away: string;
  status: string;
  finished: boolean;
  pending: boolean;
  say_it: string;
  range: { low: number; high: number; shown: string } | null;
  reach: string;
  /** The same doubt for other boards, by centimetres. */
  reaches?: Record<string, string>;
  [more: string]: unknown;
}

/** One turn at the board. */
export interface Which {
  turn: string;
  event: number;
  entry: string;
  round: number;
  replacement: number;
}

export interface OpenTurn extends Which {
  title: string;
  flight: string;
  number: number;
  of: number;
  away: string;
  why: string;
  seconds: number;
  /** A reading that came before the trial. */
  wind?: string;
  wind_tenths?: number | null;
  wind_rows?: string[];
}

export interface Trial {
  turn: string;
  round: number;
  replacement: number;
  result: string;
  mark: number | null;
  shown: string;
  wind_tenths: number | null;
  wind: string;
  rows: string[];
  wind_rows: string[];
  disputed?: boolean;
  wind_disputed?: boolean;
  hidden?: boolean;
  void?: boolean;
  owed_wind?: boolean;
  settled?: boolean;
  board_cm?: number | null;
  /** Saved here, and not yet in the state. */
  own?: boolean;
  /** It counts once the desk has looked at it. */
  looked?: boolean;
}

export interface Last {
  turn: string;
  entry: string;
  event: number;
  bib: string;
  shown: string;
  wind: string;
  at: number;
  mark?: number | null;
  own?: boolean;
  looked?: boolean;
}

export interface Ev {
  id: number;
  name: string;
  over: boolean;
  closed: boolean;
  ready: boolean;
  no_gauge: boolean;
  suspended: string;
  seconds: number;
  warning: number;
  boards: { cm: number; shown: string; low?: number | null; high?: number | null }[];
  needs_board: boolean;
  longest: number;
  board_off_cm: number;
  [more: string]: unknown;
}

export interface Shown extends PhoneState {
  events: Ev[];
  people: Record<string, Person>;
  queue: OpenTurn[];
  series: Record<string, Trial[]>;
  last: Last[];
}

/** A trial while it is being written. */
export interface Draft extends Which {
  flag?: "" | "white" | "red" | "pass" | "retire" | "unmeasured";
  fail?: string;
  protest?: boolean;
  digits: string;
  mark?: number | null;
  sign: string;
  windDigits: string;
  /** Tenths, or none read, or still to come. */
  wind?: number | "none" | "later";
  answered?: boolean;
  /** Chosen by hand, not the one who is up. */
  picked?: boolean;
  /** The trial that is put right, as it was seen. */
  old?: Trial;
  why?: string;
  /** The board that it is jumped from, cm. */
  board?: number | null;
  /** Parts that are saved already: the trial itself comes last. */
  stored: string[];
  unsaved?: boolean;
  /** OK was pressed and neither + nor -. */
  unsigned?: boolean;
}

/** What every page of a screen is given. */
export interface Given {
  shown: Shown;
  context: Context;
}

export type Page = (given: Given) => Node[];
