/** A state document for tests: facing an invented bronze bush, all well, 8 mm from the centre. */

export const good = (value_mm, u_mm = 0.01) => ({ good: true, value_mm, u_mm });
export const doubtful = (last_mm, ...reasons) => ({ good: false, last_mm, reasons });
export const MM = { length: "mm", x_as: "diameter" };

export const FACING = {
  name: "face the bush", kind: "facing", start_mm: 11, end_mm: 0, target_mm: 0, depth_mm: 0.3, finish_mm: 0.1,
  tolerance_mm: 0, free_first_pass: true, planned_rpm: 640, feed_axis: "X", held_axis: "Z",
};
export const TURNING = {
  ...FACING, name: "turn the bush", kind: "turning", start_mm: 0, end_mm: -18, target_mm: 8, feed_axis: "Z", held_axis: "X",
};
export const BORING = { ...TURNING, name: "bore the bush", kind: "boring", end_mm: -12, target_mm: 6 };
export const DRILLING = { ...TURNING, name: "drill the bush", kind: "drilling", end_mm: -20, target_mm: 4 };
export const GROOVING = { ...FACING, name: "groove the bush", kind: "grooving", end_mm: 9, target_mm: -12 };
export const PARTING = { ...GROOVING, name: "part off the bush", kind: "parting", end_mm: 0, target_mm: -22 };
export const TAPER = { ...TURNING, name: "taper the bush", kind: "taper", end_mm: -6, target_mm: 9 };
export const CHAMFER = { ...TAPER, name: "chamfer the bush", kind: "chamfer", end_mm: -1 };
export const OPERATIONS = [FACING, TURNING, BORING, DRILLING, GROOVING, PARTING, TAPER, CHAMFER];
export const TOOL = {
  name: "turning tool", kind: "turning", nose_radius_mm: 0.4, hand: "right", approach_angle_deg: 93, point_angle_deg: 80, width_mm: 0, diameter_mm: 0,
};
export const BLADE = { ...TOOL, name: "blade", kind: "grooving", width_mm: 2 };
export const DRILL = { ...TOOL, name: "drill", kind: "drill", diameter_mm: 8, point_angle_deg: 118 };
export const OUTLINE = [[-34, 11], [0.4, 11]];

const axis = (name, value_mm, decimals_mm) => ({
  axis: name, position: good(value_mm), velocity_mm_s: 0, decimals_mm, decimals_inch: 4, referenced_by: "touched",
});

export function sampleState(changes = {}) {
  return {
    version: 1, seq: 7, t_s: 12.5, machine: "workshop lathe", units: MM,
    link: { condition: "live", words: "the board is heard", source: "simulated", checked: true, model: null, boot: "1", rate_hz: 250, reports: 9, lost_reports: 0, damaged_lines: 0 },
    doubts: [], axes: [axis("X", 8, 2), axis("Z", 0.1, 3)],
    slides: [{ slide: "cross", channel: 0, counts: 1600, length_mm: 8, missed_edges: 0 }],
    tool: { tool: TOOL, touched_x: true, touched_z: true },
    work: { set_up: 1, stock: { diameter_mm: 22, length_mm: 34, bore_mm: 0, material: "bronze", expansion_um_m_k: 0, front_mm: 0.4 }, part: 1, outline: OUTLINE, bore: [] },
    operation: FACING, to_go: good(8), reached: false,
    overrun: { state: "ahead", time_left_s: 9, past_mm: 0 },
    remaining: { this_pass: good(0), total: good(0.1), pass_target_mm: 0.1, passes_left: 2 }, learned: null,
    hold: { state: "held", axis: "Z", armed_by: "operation", deviation_mm: 0, worst_mm: 0, worst_at_mm: null, came_back: true, warning_mm: 0.01, limit_mm: 0.02, words: "held" },
    spindle: { rpm: 640, cutting_speed_m_min: 32, planned_rpm: 640 },
    cutting: true, stroke: { from_mm: 11, to_mm: 8, held_mm: 0.1 },
    guide: { state: "advance", move: "Wind in.", why: "The depth is set.", yes: null, no: "Not so" },
    alarms: [], passes: 0, last_pass: null, last_pass_holds: false, events: 3, undo: "depth", demo: null, check: null,
    ...changes,
  };
}
