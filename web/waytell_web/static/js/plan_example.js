/**
 * An invented part to try the page with: a bronze bush for a small garden-railway wagon.
 *
 * @typedef {import("./plan_types").Part} Part
 */

/** @param {number} mm @param {string | null} [tolerance_class] */
const size = (mm, tolerance_class = null) => ({ mm, tolerance_class, upper_mm: null, lower_mm: null });

/** @type {Part} */
export const EXAMPLE = {
  format: "waytell-part",
  version: 1,
  name: "wagon bush",
  note: "Invented: for a small garden-railway wagon.",
  material: "phosphor bronze",
  general_tolerance: "m",
  bar: { diameter_mm: 24, bore_mm: 0 },
  set_ups: [{ out_mm: 42, sawn_mm: 1, tailstock: false }],
  features: [
    { kind: "face", set_up: 1, length: null },
    { kind: "turned", set_up: 1, diameter: size(18, "h8"), from_mm: 0, to: size(22) },
    { kind: "hole", set_up: 1, diameter_mm: 9, to_mm: 34 },
    { kind: "bore", set_up: 1, diameter: size(10, "H7"), to: size(34) },
    { kind: "chamfer", set_up: 1, where: "outside", at_mm: 0, size_mm: 0.5 },
    { kind: "part_off", set_up: 1, at_mm: 30 },
  ],
};
