/** Keeps the screen on while the page is in view, where the browser allows it (only over a secure connection). */

export const canStayAwake = "wakeLock" in navigator;

export function stayAwake() {
  if (!canStayAwake) return;
  document.addEventListener("visibilitychange", ask);
  ask();
}

async function ask() {
  if (document.hidden) return;
  try {
    await navigator.wakeLock.request("screen");
  } catch {
    // Refused, for example on a low battery. It is asked for again when the page comes back into view.
  }
}
