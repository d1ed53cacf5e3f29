// Small ways to make and find elements.

type Child = Node | string | null;

/** Makes an element; keys that begin with "on" are listeners. */
export function h<K extends keyof HTMLElementTagNameMap>(
  name: K,
  attributes: Record<string, string | number | boolean | ((e: Event) => void)> = {},
  ...children: Child[]
): HTMLElementTagNameMap[K] {
  const e = document.createElement(name);
  for (const [k, v] of Object.entries(attributes)) {
    if (typeof v === "function") e.addEventListener(k.slice(2), v);
    else if (v === true) e.setAttribute(k, "");
    else if (v !== false) e.setAttribute(k, String(v));
  }
  e.append(...children.filter((c) => c !== null));
  return e;
}

/** Finds one element that must be there. */
export function need<T extends Element>(selector: string, within: ParentNode = document): T {
  const e = within.querySelector<T>(selector);
  if (!e) throw new Error(`nothing on the page is ${selector}`);
  return e;
}

/** A shape from the page's set of icons, drawn as a path in a 16 by 16 box. */
export function icon(path: string): SVGSVGElement {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  svg.setAttribute("viewBox", "0 0 16 16");
  svg.setAttribute("aria-hidden", "true");
  const p = document.createElementNS("http://www.w3.org/2000/svg", "path");
  p.setAttribute("d", path);
  svg.append(p);
  return svg;
}

/** Whether a key press belongs to what has the focus rather than to the page; a tick takes the space bar alone. */
export function typing(e: KeyboardEvent): boolean {
  const t = e.target;
  return (
    e.ctrlKey || e.metaKey || e.altKey || (t instanceof HTMLElement && t.closest("input:not([type=checkbox]), select, textarea, [contenteditable], dialog") !== null)
  );
}
