/**
 * How large letters must be to be read from a distance. Pure.
 *
 * ISO 9241-303 asks for characters of 20 to 22 minutes of arc, 16 at the least (from memory).
 */

export const WANTED_ARCMIN = 20;
/** Height of a figure in its type size: DejaVu Sans has 0.729, Segoe UI and Roboto 0.70 to 0.71. */
export const FIGURE_SHARE = 0.71;
/** As a browser takes a pixel where it knows nothing better: 96 to the inch. */
export const USUAL_MM_PX = 25.4 / 96;

/** Height in mm that is seen at so many minutes of arc. @param {number} distance_m @param {number} [arcmin] */
export function heightMm(distance_m, arcmin = WANTED_ARCMIN) {
  return 2 * distance_m * 1000 * Math.tan(((arcmin / 60) * Math.PI) / 360);
}

/** Type size in pixels to be read from a distance. @param {number} distance_m @param {number} mmPx how long a pixel of this screen is */
export function sizePx(distance_m, mmPx) {
  return heightMm(distance_m) / mmPx / FIGURE_SHARE;
}

/** How far away a type size is read. @param {number} px @param {number} mmPx */
export function readFromM(px, mmPx) {
  return (px * FIGURE_SHARE * mmPx) / heightMm(1);
}
