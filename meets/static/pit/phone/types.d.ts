// The shapes that the scripts of the phone hand to each other. Read by the type checker only; no phone loads it.

/** What a screen asks to be saved; the outbox adds number, time and hash. */
export interface Draft {
  session: number;
  event: number;
  role: Role;
  kind: string;
  /** As the log stores that kind of row. */
  values: Record<string, unknown>;
  supersedes?: string[];
  reason?: string;
  named?: Named;
}

export type Role = "recorder" | "second" | "gauge" | "referee" | "display";

export interface Named {
  name: string;
  school: string;
  bib: string;
  year: number | string | null;
}

/** Saved, numbered, and never changed again. */
export interface Entry {
  v: 1;
  id: string;
  device: string;
  epoch: string;
  seq: number;
  meet: number;
  session: number;
  event: number;
  role: Role;
  kind: string;
  values: Record<string, unknown>;
  supersedes: string[];
  reason: string;
  official: string;
  /** The phone's clock, and how far the server's was ahead of it when last heard, in ms. */
  wall: number;
  offset: number;
  app: string;
  named?: Named;
  hash: string;
}

/** An entry with what is known of its way to the server. */
export interface Kept {
  id: string;
  epoch: string;
  seq: number;
  /** 1: not on the server as far as we know; 0: the server has answered for it. A number, to be found by an index. */
  waiting: 0 | 1;
  entry: Entry;
  /** What the server said of it: stored, duplicate, needs_review, quarantined; "" while it has said nothing. */
  status: string;
  says: string;
  /** Taken back from the second copy. */
  again: boolean;
}

/** What the server answered when the phone came in. */
export interface Joined {
  device: string;
  number: number;
  token: string;
  official: string;
  meet: { id: number; name: string; time_zone: string };
  roles: Role[];
  sessions: { id: number; name: string; pit: string }[];
  server_epoch: string;
  now: number;
}

/** The numbered entries of one database on one device. */
export interface Stream {
  epoch: string;
  device: string;
  /** The highest number given. */
  seq: number;
  /** The highest gapless number that the server has said it holds, and the life of the server that said so. */
  upto: number;
  server_epoch: string;
  /** When, by the phone's clock: only to tell earlier from later. */
  begun: number;
}

export interface Have {
  upto: number;
  holes: [number, number][];
}

export interface Result {
  id: string;
  status: string;
  says?: string;
}

export interface Answer {
  server_epoch: string;
  now: number;
  results: Result[];
  have: Have;
}

export interface Counts {
  waiting: number;
  sent: number;
  review: number;
  apart: number;
}

/** Said once, when the phone's store had gone: how many entries it had given at least, how many came back. */
export interface Lost {
  phone: number;
  given: number;
  back: number;
}

/** The state of a session as the server worded it; screens know its other keys. */
export interface PhoneState {
  v: number;
  version: string;
  server_epoch: string;
  now: number;
  role: Role;
  included: Record<string, number>;
  /** Entries of this phone that are not in it until the desk has looked at them. */
  in_review?: string[];
  meet: { id: number; name: string };
  session: { id: number; name: string; pit: string; starts?: string; gauge?: boolean };
  events: { id: number; name: string; over: boolean; closed: boolean; [more: string]: unknown }[];
  [more: string]: any;
}

export type Link = "" | "ok" | "out of reach" | "let out";

export interface Status {
  link: Link;
  mode: "https" | "http";
  waiting: number;
  sent: number;
  review: number;
  apart: number;
  /** Sent but refused as it stands, one by one: too large or not understood. They stay here and can be exported. */
  stuck: number;
  /** The server's clock minus ours, ms. */
  offset: number;
}

/** What a screen is given besides the state. */
export interface Context {
  /** Resolves once the entry is safe on this phone; rejects with NotSaved. `clears` names a draft that it ends. */
  save(draft: Omit<Draft, "session" | "role"> & { role?: Role }, clears?: string): Promise<Entry>;
  say(key: string, values?: Record<string, string | number>): string;
  official: string;
  role: Role;
  /** The key of this phone is one for the referee. */
  decides: boolean;
  session: number;
  /** Own entries of this session, in the order they were saved. */
  own: Kept[];
  /** The server's time as well as we know it, ms. */
  now(): number;
  status(): Status;
  /** What is typed but not saved: kept over a reload. */
  setDraft(key: string, value: unknown): Promise<void>;
  getDraft(key: string): Promise<any>;
  /** Show the trial clock on other screens; lost without harm when out of reach. */
  setClock(clock: { turn: string; started: number | null; seconds: number }): void;
  /** Draw again with what is known now. */
  redraw(): void;
}

export type Screen = (root: HTMLElement, shown: PhoneState, context: Context) => void;
