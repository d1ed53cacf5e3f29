// What a device remembers of its player, each thing with the version of its form. A
// browser that keeps nothing, as in a private window, remembers it while the page is
// open; so is what a newer page keeps in a form that this one doesn't know, which is
// left alone.

const mine = new Map<string, string>();
const prefix = "lapwright ";
const version = 1;
let leftAlone = false;

/** Told once that something here is kept in a newer form. */
let onNewer: () => void = () => {};

/** What the browser keeps under a name: null for nothing, and for what a newer page keeps. */
function stored(name: string): string | null {
  const text = window.localStorage.getItem(prefix + name);
  if (text === null) return null;
  let form: unknown = null;
  try {
    form = JSON.parse(text);
  } catch {
    // Before there were versions a value stood as it is.
  }
  if (typeof form !== "object" || form === null || !("version" in form)) return text;
  const is = form as { version: unknown; value?: unknown };
  if (is.version === version) return typeof is.value === "string" ? is.value : null;
  if (!leftAlone) {
    leftAlone = true;
    onNewer();
  }
  throw new Error(`“${name}” is kept in a form of its own, ${String(is.version)}`);
}

/** Has it told, now or later, that a newer page's things are left alone. */
export function whenNewer(tell: () => void): void {
  onNewer = tell;
  if (leftAlone) tell();
}

export function kept(name: string): string {
  try {
    return stored(name) ?? mine.get(name) ?? "";
  } catch {
    return mine.get(name) ?? "";
  }
}

/** Keeps a value; "" forgets it. */
export function keep(name: string, value: string): void {
  mine.set(name, value);
  try {
    stored(name);
    if (value) window.localStorage.setItem(prefix + name, JSON.stringify({ version, value }));
    else window.localStorage.removeItem(prefix + name);
  } catch {
    // It is remembered while the page is open.
  }
}

/** Keeps under a name what stood under an older one, unless something stands there. */
export function moved(from: string, to: string): void {
  const was = kept(from);
  if (!was || kept(to)) return;
  keep(to, was);
  keep(from, "");
}
