// Keeps the music in view while it sounds, and leaves a reader who scrolls alone
// until the next start.

/** How long one's own smooth scrolling may take, in milliseconds. */
const ownMs = 900;
const settleMs = 300;
/** What is left free between the controls and the music, in pixels: a chord symbol stands there. */
const breath = 44;

let following = true;
let ownUntil = 0;

/** Music starts: what sounds is kept in view from now on. */
export function startFollowing(): void {
  following = true;
  ownUntil = performance.now() + settleMs; // what was scrolled before comes to rest
}

/** A reader's own scrolling ends the following. */
function left(): void {
  following = false;
}

window.addEventListener("wheel", left, { passive: true });
window.addEventListener("touchmove", (e) => {
  // A finger on the controls or the neck moves those.
  if (!(e.target instanceof Element && e.target.closest(".player, input, select"))) left();
}, { passive: true });
window.addEventListener("keydown", (e) => {
  if (["PageUp", "PageDown", "ArrowUp", "ArrowDown", "End"].includes(e.key)) left();
});
// What scrolls and was not asked for here was a scrollbar, or an assistant's hand.
window.addEventListener("scroll", () => {
  if (performance.now() > ownUntil) left();
}, { passive: true });

/**
 * Brings a band of the page into view, below the controls that stay there. Its
 * edges are distances from the window's top, as boxes are measured.
 */
export function reveal(top: number, bottom: number): void {
  const head = stuck();
  if (!following || (top >= head && bottom <= window.innerHeight)) return;
  const calm = window.matchMedia("(prefers-reduced-motion: reduce)").matches;
  const most = document.documentElement.scrollHeight - window.innerHeight;
  const to = Math.max(0, Math.min(most, window.scrollY + top - head - breath));
  if (Math.abs(to - window.scrollY) < 1) return;
  ownUntil = performance.now() + ownMs;
  window.scrollTo({ top: to, behavior: calm ? "instant" : "smooth" });
}

/** Where the controls that stay in view end, or will when they have got there. */
function stuck(): number {
  const all = [...document.querySelectorAll<HTMLElement>(".player")].filter((e) => getComputedStyle(e).position === "sticky");
  return Math.max(0, ...all.map((e) => e.getBoundingClientRect().height));
}
