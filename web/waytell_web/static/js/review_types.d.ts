/** The documents of the record, as the Review page knows them. All lengths are millimetres, X is a radius. */

import type { Axis, Corner, Doubt, LiveState, Pass, Units } from "./types";

export interface FaceShape {
  surface: "face";
  form: "flat" | "concave" | "convex";
}
export interface LengthShape {
  surface: "length";
  form: "straight" | "wider_at_free_end" | "narrower_at_free_end";
}

/** Place on the feed axis in mm, and a value there. */
export type Along = [at_mm: number, value: number];

export interface PassReview {
  passed: Pass;
  samples: [t_s: number, x_mm: number, z_mm: number][];
  outline_before: Corner[];
  outline_after: Corner[];
  shape: FaceShape | LengthShape | null;
  words: string;
  held_axis: Axis;
  creep_um: Along[];
  speed: Along[];
  doubted: Doubt[];
}

export interface Trace {
  number: number;
  creep_um: number[];
}

export type Verdict = import("./types").Verdict;
export interface Size {
  part: number;
  operation: string;
  axis: Axis;
  at_mm: number;
  u_mm: number;
  low_mm: number | null;
  high_mm: number | null;
  verdict: Verdict;
  wall: string;
  counts: boolean;
}

export interface Index {
  value: number;
  low: number;
  high: number;
  meaningful: boolean;
}

export interface SizeStatistics {
  operation: string;
  axis: Axis;
  parts: number;
  mean_mm: number;
  range_mm: number | null;
  s_mm: number | null;
  low_mm: number | null;
  high_mm: number | null;
  cp: Index | null;
  cpk: Index | null;
  outside: number;
  words: string;
}

export interface PartRecord {
  number: number;
  name: string;
  done: boolean;
  began: string | null;
  ended: string | null;
  total_s: number | null;
  cutting_s: number;
  passes: number[];
  doubtful: number;
  set_ups: number[];
  volume_mm3: number | null;
  sizes: Size[];
}

export interface Batch {
  name: string;
  parts: number[];
  total_s: number | null;
  cutting_s: number;
  statistics: SizeStatistics[];
}

export interface EdgeUse {
  tool: string;
  passes: number;
  cutting_s: number;
  distance_m: number | null;
  untold: number;
  words: string;
}

export interface Parts {
  parts: PartRecord[];
  batches: Batch[];
  edges: EdgeUse[];
  units: Units;
}

export type Screen = "passes" | "parts" | "files";

/** What the person looks at. `chosen` null: the newest pass, whichever that is. */
export interface Choice {
  screen: Screen;
  chosen: number | null;
  part: string;
  set_up: string;
  operation: string;
}

/** All that the page draws. */
export interface Seen {
  state: LiveState;
  passes: Pass[];
  traces: Map<number, number[]>;
  parts: Parts;
  detail: PassReview | null;
  choice: Choice;
  /** The server is not heard: what stands here may lack what came since. */
  silent: boolean;
  look: string;
}

export type Choose = (change: Partial<Choice>) => void;
