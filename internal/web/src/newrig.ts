// A form for an instrument from nothing: what it comes to is shown as one types,
// and what is wrong is said at its field.

import { h, need } from "./dom";
import type { CheckedRig } from "./forms";
import { ask, complain } from "./site";

/** How long typing rests before the program is asked, in milliseconds. */
const restMs = 250;

export function newRig(): void {
  const form = need<HTMLFormElement>("#new-rig");
  const place = need<HTMLElement>("#draft");
  const first = [...place.childNodes];
  const fields = [...form.querySelectorAll<HTMLInputElement | HTMLSelectElement>("[name]")];
  /** Fields that somebody has been in: what is wrong in another is not yet said. */
  const visited = new Set<string>();
  let asking = new AbortController();
  let resting = 0;

  async function look(): Promise<void> {
    asking.abort();
    asking = new AbortController();
    const signal = asking.signal;
    const got = await ask<CheckedRig>("/rigs/draft", Object.fromEntries(fields.map((f) => [f.name, f.value])), signal);
    if (signal.aborted) return;
    for (const f of fields) {
      const wrong = got.said.find((s) => s.part === f.name && visited.has(f.name));
      need(`#${f.name}-said`).textContent = wrong?.text ?? "";
      f.setAttribute("aria-invalid", String(wrong !== undefined));
    }
    need<HTMLInputElement>("#title").placeholder = got.title ?? "its kind and its tuning";
    if (got.strings) show(got);
    else place.replaceChildren(...first);
  }

  function show(got: CheckedRig): void {
    const head = ["String", "Open", "Gauge", "Tension"].map((t) => h("th", { scope: "col" }, t));
    const rows = (got.strings ?? []).map((s) =>
      h("tr", {}, h("th", { scope: "row" }, String(s.number)), h("td", {}, s.open), h("td", {}, s.short), h("td", {}, s.tension, s.finding === "fine" ? null : h("span", { class: "alarm" }, ` ${s.finding}`))));
    place.replaceChildren(
      h("table", {}, h("thead", {}, h("tr", {}, ...head)), h("tbody", {}, ...rows)),
      h("p", {}, "All strings together: ", h("strong", {}, got.load ?? "")),
      h("ul", { class: "reasons" }, ...(got.reasons ?? []).map((r) => h("li", {}, r.charAt(0).toUpperCase() + r.slice(1)))),
    );
  }

  const soon = (): void => {
    window.clearTimeout(resting);
    resting = window.setTimeout(() => look().catch(complain), restMs);
  };
  form.addEventListener("input", soon);
  form.addEventListener("change", (e) => {
    if (e.target instanceof HTMLInputElement || e.target instanceof HTMLSelectElement) visited.add(e.target.name);
    soon();
  });
  if (need<HTMLInputElement>("#scale").value) {
    for (const f of fields) visited.add(f.name);
    soon();
  }
}
