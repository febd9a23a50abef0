/** The documents of the Plan page. In a part diameters are diameters; in a plan X is a radius. Lengths in millimetres. */

import type { Config, Corner, LiveState, Material, Operation, Pass, Refusal, Tool } from "./types";

export interface Dimension {
  mm: number;
  tolerance_class: string | null;
  upper_mm: number | null;
  lower_mm: number | null;
}

export type FeatureKind = "face" | "turned" | "hole" | "bore" | "taper" | "chamfer" | "groove" | "part_off";
/** Each kind has fields of its own: see `FEATURES` in plan_features.js. */
export type Feature = { kind: FeatureKind; set_up: 1 | 2 } & Record<string, unknown>;

export interface Chucking {
  out_mm: number;
  sawn_mm: number;
  tailstock: boolean;
}

export interface Part {
  format: "waytell-part";
  version: 1;
  name: string;
  note: string;
  material: string;
  general_tolerance: "f" | "m" | "c" | "v";
  bar: { diameter_mm: number; bore_mm: number };
  set_ups: Chucking[];
  features: Feature[];
}

export interface Caution {
  code: string;
  words: string;
  do: string;
  step: number | null;
}

export interface Contradiction {
  features: number[];
  words: string;
  do: string;
}

export interface Limits {
  nominal_mm: number;
  low_mm: number;
  high_mm: number;
  words: string;
}

export interface PlannedPass {
  role: Pass["role"];
  depth_mm: number;
  at_mm: number;
  force_n: number;
  power_w: number;
  deflection_mm: number;
  time_s: number;
  limit: "operator" | "power" | "deflection" | "tool" | "size";
}

export interface PlannedStep {
  number: number;
  set_up: number;
  features: number[];
  operation: Operation;
  tool: string;
  words: string;
  why: string;
  limits: Limits | null;
  speed: { rpm: number; vc_m_min: number; limit: "material" | "machine" | "chuck" | "steps"; words: string };
  feed_mm_rev: number;
  passes: PlannedPass[];
  decided_by: string;
  time_s: number;
  chips_mm3: number;
  ra_um: number | null;
  state: "to_do" | "next" | "done" | "cannot";
  was: string;
  trouble: string;
}

export interface SetUpPlan {
  number: number;
  stock: Corner[];
  now: Corner[];
  target: Corner[];
  out_mm: number;
  tailstock: boolean;
}

export interface Plan {
  part: Part;
  steps: PlannedStep[];
  set_ups: SetUpPlan[];
  cautions: Caution[];
  time_s: number;
  chips_mm3: number;
  mass_g: number;
}

export interface Planned {
  plan: Plan | null;
  contradictions: Contradiction[];
}

export interface WhatIfPoint {
  depth_mm: number;
  force_n: number;
  power_w: number;
  deflection_mm: number;
  time_s: number;
}

export interface WhatIf {
  step: number;
  points: WhatIfPoint[];
  planned_mm: number;
  power_limit_w: number;
  deflection_limit_mm: number;
}

/** The stored part, and its plan as it is now. */
export interface Kept {
  part: Part | null;
  set_up: 0 | 1 | 2;
  planned: Planned | null;
  undo: string[];
}

export interface Tables {
  materials: Material[];
  tools: Tool[];
  config: Config;
}

/** A feature as it is typed: texts by the name of the field; of a size also `to.how`, `to.class`, `to.upper`, `to.lower`. */
export interface FeatureDraft {
  key: number;
  kind: FeatureKind;
  texts: Record<string, string>;
}

/** A part as it is typed: what was typed stays text, whether it can be read or not. */
export interface Draft {
  texts: Record<string, string>;
  features: FeatureDraft[];
}

export interface History {
  past: Draft[];
  now: Draft;
  future: Draft[];
  /** What was typed last: more of the same is one step of undo. */
  about: string;
}

/** What the server made of a draft. `keys`: the features that were complete, in the order of their numbers there. */
export interface Tried {
  planned: Planned | null;
  keys: number[];
  /** The newest plan there was: its drawing stays while what is typed cannot be turned. */
  before: Plan | null;
}

export type Shows = "deflection" | "power" | "force" | "time";
export type Screen = "plan" | "tables";

/** All that the page draws. */
export interface Seen {
  state: LiveState;
  kept: Kept;
  history: History;
  tried: Tried | null;
  /** Why the draft as it stands has no plan. */
  refusal: Refusal | null;
  /** The answer to the newest act. */
  told: { refusal: Refusal | null; words: string };
  tables: Tables | null;
  /** The question that is open: a name of plan_questions.js, or `feature 3` with the key of a feature. */
  open: string;
  setUp: 1 | 2;
  step: number | null;
  whatIf: WhatIf | null;
  shows: Shows;
  screen: Screen;
  silent: boolean;
  look: string;
}

/** What the person may do; each changes what is seen and draws it. */
export interface Deeds {
  see(change: Partial<Seen>): void;
  /** Typing: `about` names the field, so that one word is one step of undo. */
  type(about: string, change: (draft: Draft) => Draft): void;
  undo(): void;
  redo(): void;
  keep(): void;
  use(step: PlannedStep): void;
  inChuck(set_up: 1 | 2): void;
  takeBack(): void;
  read(file: File): void;
  begin(draft: Draft): void;
  choose(step: number | null): void;
  reload(): void;
}
