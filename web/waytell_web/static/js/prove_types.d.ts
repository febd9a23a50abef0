/** The documents of the Prove page. Lengths in millimetres; deviations are true less shown. */

import type { Axis, LiveState, Refusal, Slide } from "./types";

export type Kind = "link" | "slide" | "rest" | "winding" | "distance" | "map" | "positioning" | "disc" | "collars" | "temperature";
export type ReferenceKind = "gauge_block" | "dial" | "setting_bar" | "other";

export interface Reference {
  kind: ReferenceKind;
  grade: 0 | 1 | 2;
  u_um: number;
}

/** A check as it is begun; which fields it has depends on its kind. */
export interface Check {
  kind: Kind;
  slide?: Slide;
  motor?: "off" | "on";
  length_mm?: number;
  reference?: Reference;
  u_um?: number;
  temperature_c?: number;
  u_c?: number;
  work_expansion_um_m_k?: number;
}

export interface Captured {
  number: number;
  says_mm: number | null;
  shown_mm: number | null;
  way: -1 | 0 | 1;
  left_out: boolean;
  why_left_out: string;
}

export type QuantityUnit = "um" | "mm" | "um/100 mm" | "%" | "counts" | "counts/s" | "mm/s" | "Hz" | "ms" | "deg" | "C" | "ppm" | "";
export interface Quantity {
  key: string;
  name: string;
  value: number;
  unit: QuantityUnit;
  u: number | null;
  decimals: number;
}

export interface Plot {
  across: string;
  up: string;
  series: { name: string; points: [number, number][] }[];
}

export interface Gives {
  slide: Slide | null;
  channel: number | null;
  direction: 1 | -1 | null;
  resolution_um: number | null;
  scale_factor: number | null;
  map: { at_mm: number[]; add_mm: number[] } | null;
  temperature_c: number | null;
}

export type Verdict = "good" | "fair" | "bad";
export interface Proof {
  check: Check;
  verdict: Verdict;
  words: string;
  do: string;
  quantities: Quantity[];
  plots: Plot[];
  notes: string[];
  captures: number;
  resolution_um: number | null;
  temperature_c: number | null;
  gives: Gives;
}

export interface Shift {
  axis: Axis;
  now_mm: number | null;
  then_mm: number | null;
  words: string;
}

export interface DatedProof {
  number: number;
  wall: string;
  proof: Proof;
  used: boolean;
  shifts: Shift[];
  compared: string[];
}

export interface Move {
  move: string;
  why: string;
}

export type Wants = "" | "place" | "dial" | "diameter";
export interface CheckNow {
  check: Check;
  began: string;
  captures: Captured[];
  next: Move;
  wants: Wants;
  suggests_mm: number | null;
  proof: Proof | null;
  missing: string;
}

/** A check under way as every display sees it, with each state. */
export interface CheckLive {
  kind: Kind;
  slide: Slide | null;
  standing: boolean;
  lines: string[];
  next: Move;
  captures: number;
  ready: boolean;
}

export interface Share {
  name: string;
  words: string;
  standard_um: number;
  degrees: number | null;
  percent: number;
}

export interface AxisBudget {
  axis: Axis;
  standard_um: number;
  degrees: number | null;
  k: number;
  expanded_um: number;
  decimals_mm: number;
  shares: Share[];
  helps_most: string;
}

export interface ScaleNow {
  slide: Slide;
  channel: number;
  resolution_um: number;
  direction: number;
  scale_factor: number;
  mapped: boolean;
  placed: boolean;
  marks: number;
}

export interface ProvingNow {
  check: CheckNow | null;
  proofs: DatedProof[];
  budgets: AxisBudget[];
  scales: ScaleNow[];
}

/** What is looked at: a kind of check, how far positions can be relied on, or nothing chosen yet. */
export type Place = Kind | "trust" | "";

/** All that the page draws, besides what is live. */
export interface Seen {
  state: LiveState;
  proving: ProvingNow;
  place: Place;
  /** Of the chosen check: its slide, or whether the motor runs. */
  variant: string;
  /** The answer to the newest act. */
  told: { refusal: Refusal | null; words: string };
  look: string;
  hand: "left" | "right";
}

/** What the person may do; each changes what is seen and draws it. */
export interface Deeds {
  go(place: Place, variant?: string): void;
  begin(check: Check): Promise<Refusal | null>;
  capture(says_mm: number | null): Promise<Refusal | null>;
  leaveOut(capture: number, left_out: boolean): void;
  finish(): void;
  giveUp(): void;
  use(proof: number, use: boolean): void;
  atStop(slide: Slide): void;
  takeBack(): void;
  chooseHand(hand: "left" | "right"): void;
}

export interface Inputs {
  seen: Seen;
  deeds: Deeds;
}
