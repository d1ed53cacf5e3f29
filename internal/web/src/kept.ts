// What a device remembers of its player. A browser that keeps nothing, as in a
// private window, remembers it while the page is open.

const mine = new Map<string, string>();
const prefix = "lapwright ";

export function kept(name: string): string {
  try {
    return window.localStorage.getItem(prefix + name) ?? mine.get(name) ?? "";
  } catch {
    return mine.get(name) ?? "";
  }
}

/** Keeps a value; "" forgets it. */
export function keep(name: string, value: string): void {
  mine.set(name, value);
  try {
    if (value) window.localStorage.setItem(prefix + name, value);
    else window.localStorage.removeItem(prefix + name);
  } catch {
    // It is remembered while the page is open.
  }
}
