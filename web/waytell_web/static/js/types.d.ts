/**
 * The documents the server sends, as the page knows them. All lengths are millimetres, X is a radius.
 *
 * A figure is good or doubtful, and only a good one has `value_mm`: code that forgets to ask does not type-check.
 */

export type Axis = "X" | "Z";
export type Slide = "cross" | "carriage" | "compound" | "tailstock";
export type Level = "danger" | "warning" | "must_act" | "normal" | "neutral";

export type ServerDoubtCode =
  | "no_board"
  | "stale"
  | "link_lost"
  | "late"
  | "unreadable"
  | "board_restarted"
  | "missed_edges"
  | "jump"
  | "too_fast"
  | "not_referenced"
  | "no_scale" | "fewer_scales"
  | "ended"
  | "display_differs"
  | "display_late";
/** `no_word` is the page's own doubt: the server is not heard. */
export type DoubtCode = ServerDoubtCode | "no_word";

export interface GoodFigure {
  good: true;
  value_mm: number;
  u_mm: number;
}
export interface DoubtfulFigure {
  good: false;
  last_mm: number | null;
  reasons: DoubtCode[];
}
export type Figure = GoodFigure | DoubtfulFigure;

export interface Doubt {
  code: DoubtCode;
  words: string;
  do: string;
}

export interface Link {
  condition: "opening" | "silent" | "unreadable" | "live" | "flooded" | "late" | "lost" | "ended" | "none";
  words: string;
  source: string;
  checked: boolean;
  model: string | null;
  boot: string | null;
  rate_hz: number;
  reports: number;
  lost_reports: number;
  damaged_lines: number;
}

export interface AxisState {
  axis: Axis;
  position: Figure;
  velocity_mm_s: number;
  decimals_mm: number;
  decimals_inch: number;
  referenced_by: string | null;
}

export interface SlideState {
  slide: Slide;
  channel: number;
  counts: number | null;
  length_mm: number | null;
  missed_edges: number;
}

export type ToolKind = "turning" | "boring" | "grooving" | "drill";
export interface Tool {
  name: string;
  kind: ToolKind;
  nose_radius_mm: number;
  hand: "right" | "left";
  approach_angle_deg: number;
  point_angle_deg: number;
  width_mm: number;
  diameter_mm: number;
  substance: "HSS" | "carbide";
  deepest_mm: number;
  reach_mm: number;
  shank_mm: number;
}

export interface ToolState {
  tool: Tool;
  touched_x: boolean;
  touched_z: boolean;
}

export interface Stock {
  diameter_mm: number;
  length_mm: number;
  bore_mm: number;
  material: string;
  expansion_um_m_k: number;
  front_mm: number;
}

export type PassKind = "facing" | "turning" | "boring" | "drilling" | "taper" | "chamfer" | "grooving" | "parting";

/** A corner of the outline: place along Z, and radius. */
export type Corner = [z_mm: number, radius_mm: number];

export interface WorkState {
  set_up: number;
  part: number;
  stock: Stock | null;
  outline: Corner[];
  bore: Corner[];
}

export interface Operation {
  name: string;
  kind: PassKind;
  start_mm: number;
  end_mm: number;
  target_mm: number;
  depth_mm: number;
  finish_mm: number;
  tolerance_mm: number;
  free_first_pass: boolean;
  planned_rpm: number;
  feed_axis: Axis;
  held_axis: Axis;
}

export interface Overrun {
  state: "none" | "ahead" | "soon" | "past";
  time_left_s: number | null;
  past_mm: number;
}

export interface Remaining {
  this_pass: Figure;
  total: Figure;
  pass_target_mm: number;
  passes_left: number;
}

export type HoldName = "free" | "watched" | "held" | "warning" | "limit";
/** What measured sizes advise for the next pass. */
export interface Learned {
  words: string;
  advised_mm: number | null;
  u_mm: number | null;
  sizes: number;
}

export type Verdict = "within" | "outside" | "open" | "reads_within" | "reads_outside" | "no_limits";
/** A size while it is entered; without an operation that of the last pass. */
export interface SizeAsked {
  operation: string;
  axis: Axis;
  at_mm: number;
  u_mm: number;
  low_mm: number | null;
  high_mm: number | null;
}
export interface SizeTried {
  difference_mm: number | null;
  u_mm: number | null;
  difference_words: string;
  verdict: Verdict;
  verdict_words: string;
  learned: Learned | null;
}

export interface Hold {
  state: HoldName;
  axis: Axis;
  armed_by: "operation" | "switch" | "person" | null;
  deviation_mm: number;
  worst_mm: number;
  worst_at_mm: number | null;
  came_back: boolean;
  warning_mm: number;
  limit_mm: number;
  words: string;
}

export interface Spindle {
  rpm: number;
  cutting_speed_m_min: number | null;
  planned_rpm: number;
}

export interface Stroke {
  from_mm: number;
  to_mm: number;
  held_mm: number;
}

export type Opens = "cautions" | "touch" | "part" | "size" | "operation" | "set_up" | "scales";

/** What the guide's own key does. */
export interface Reply {
  words: string;
  act: Act | null;
  opens: Opens | null;
}

export interface Guide {
  state: string;
  move: string;
  why: string;
  yes: Reply | null;
  no: string | null;
}

export type AlarmCode =
  | "held_slide_warning"
  | "held_slide_limit"
  | "overrun_soon"
  | "overrun_past"
  | "doubt"
  | "disk"
  | "switch"
  | "display";
export interface Alarm {
  code: AlarmCode;
  level: Level;
  words: string;
}

export interface Pass {
  number: number;
  kind: PassKind;
  role: "skim" | "roughing" | "finish" | "spring" | "air";
  operation: string;
  tool: string;
  set_up: number;
  part: number;
  feed_axis: Axis;
  fed_by: Slide;
  start_mm: number;
  end_mm: number;
  held_mm: number;
  depth_mm: number | null;
  creep_mm: number;
  creep_at_mm: number | null;
  came_back: boolean;
  overrun_mm: number;
  feed_mm_min: number;
  feed_mm_rev: number | null;
  rpm: number | null;
  duration_s: number;
  t_start_s: number;
  t_end_s: number;
  area_mm2: number | null;
  volume_mm3: number | null;
  cutting_distance_m: number | null;
  doubts: DoubtCode[];
}

export interface Units {
  length: "mm" | "inch";
  x_as: "diameter" | "radius";
}

export interface Demo {
  words: string;
  faults: string[];
}

export interface LiveState {
  version: number;
  seq: number;
  t_s: number;
  machine: string;
  units: Units;
  link: Link;
  doubts: Doubt[];
  axes: AxisState[];
  slides: SlideState[];
  tool: ToolState | null;
  work: WorkState;
  operation: Operation | null;
  to_go: Figure | null;
  replanned: string;
  reached: boolean;
  overrun: Overrun;
  remaining: Remaining | null;
  learned: Learned | null;
  hold: Hold | null;
  spindle: Spindle | null;
  cutting: boolean | null;
  stroke: Stroke | null;
  guide: Guide;
  alarms: Alarm[];
  passes: number;
  last_pass: Pass | null;
  last_pass_holds: boolean;
  events: number;
  undo: string | null;
  demo: Demo | null;
  check: import("./prove_types").CheckLive | null;
}

/** A figure of the overview, with what it takes to write it. */
export interface Along {
  figure: Figure;
  axis: Axis;
  decimals_mm: number;
  decimals_inch: number;
}

/** One machine of the overview. */
export interface MachineNow {
  name: string;
  place: string;
  level: Level;
  doing: string;
  link: Link;
  doubts: Doubt[];
  alarms: Alarm[];
  units: Units;
  to_go: Along | null;
  left: Along | null;
  passes_left: number | null;
  hold: Hold | null;
  rpm: number | null;
  part: number;
  passes: number;
}

export interface WorkshopNow {
  seq: number;
  broker: string | null;
  machines: MachineNow[];
}

export interface WaytellEvent {
  number: number;
  t_s: number;
  wall: string;
  kind: "act" | "pass_finished" | "hold" | "board" | "started";
  words: string;
  body: Record<string, unknown>;
}

export interface Machine {
  name: string;
  spindle_max_rpm: number;
  spindle_min_rpm: number;
  speeds_rpm: number[];
  chuck_max_rpm: number | null;
  chuck_diameter_mm: number;
  motor_power_w: number;
  efficiency: number;
  swing_mm: number;
  cross_travel_mm: number;
  carriage_travel_mm: number;
  deepest_pass_mm: number;
  reaction_time_s: number;
  jump_limit_mm_s: number;
  micrometer_u_um: number;
  temperature_c: number;
}

export interface Scale {
  channel: number;
  slide: Slide;
  resolution_um: number;
  direction: 1 | -1;
  accuracy_um: number;
  expansion_um_m_k: number;
  scale_factor: number;
}

export interface Config {
  machine: Machine;
  board: Record<string, unknown>;
  scales: Scale[];
  compound: { angle_deg: number };
  tools: Tool[];
  hold: { warning_mm: number; limit_mm: number };
  units: Units;
  materials: Material[];
}

/** A value and where it was read. */
export interface Sourced {
  value: number;
  source: string;
}
export interface SpeedRange {
  low_m_min: number;
  high_m_min: number;
  source: string;
}

export interface Material {
  name: string;
  density_kg_m3: Sourced;
  modulus_gpa: Sourced;
  expansion_um_m_k: Sourced;
  kc11_n_mm2: Sourced;
  mc: Sourced;
  hss: SpeedRange;
  carbide: SpeedRange;
  feed_low_mm_rev: number;
  feed_high_mm_rev: number;
  feed_source: string;
  note: string;
}

/** An operation as it is sent: its axes follow from its kind. */
export type PlannedOperation = Omit<Operation, "feed_axis" | "held_axis">;

export type Act =
  | { act: "use_config"; config: Config }
  | { act: "new_set_up"; stock: Stock | null; note: string; of_part?: 1 | 2 }
  | { act: "use_part"; part: import("./plan_types").Part }
  | { act: "choose_tool"; tool: string }
  | {
      act: "touch_off";
      axis: Axis;
      how: "touch" | "measured" | "shim";
      at_mm: number;
      shim_mm: number;
      where: "here" | "last_pass";
    }
  | { act: "choose_operation"; operation: PlannedOperation }
  | { act: "set_target"; target_mm: number }
  | { act: "set_depth"; depth_mm: number }
  | { act: "compound_wound"; wound_in_mm: number }
  | { act: "clamp"; axis: Axis; held: boolean }
  | { act: "drilled"; diameter_mm: number; to_mm: number; from_mm: number | null }
  | {
      act: "measured";
      operation: string;
      axis: Axis;
      at_mm: number;
      u_mm: number;
      low_mm: number | null;
      high_mm: number | null;
    }
  | { act: "part_done"; part: string }
  | { act: "answer"; to: string; yes: boolean }
  | { act: "confirm_positions" }
  | { act: "seen" }
  | { act: "choose_units"; units: Units }
  | { act: "begin_check"; check: import("./prove_types").Check }
  | { act: "capture"; says_mm: number | null }
  | { act: "leave_out"; capture: number; left_out: boolean }
  | { act: "finish_check" }
  | { act: "give_up_check" }
  | { act: "use_proof"; proof: number; use: boolean }
  | { act: "at_stop"; slide: Slide }
  | { act: "undo" };

/** What went wrong with something sent, and what to do about it. */
export interface Refusal {
  error: string;
  do: string;
}
