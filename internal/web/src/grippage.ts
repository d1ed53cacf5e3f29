// Grips: each button sounds the grip that it carries; touching the neck builds
// one and names it.

import { h, need } from "./dom";
import { hear } from "./hear";
import { pretty } from "./names";
import { NeckPicture } from "./neck";
import type { AskedGrip, GripNeck, TouchedGrip } from "./forms";
import { ask, complain } from "./site";

export function gripPage(): void {
  document.addEventListener("click", (e) => {
    const button = e.target instanceof Element ? e.target.closest<HTMLElement>("button[data-hear]") : null;
    if (button) hear(`/grips/sound?grip=${encodeURIComponent(button.dataset["hear"] ?? "")}`, "This grip could not be sounded.").catch(complain);
  });
}

/** Builds a grip by touch, or by typing its strings and frets. */
export function touchGrip(): void {
  const rig = need<HTMLSelectElement>("#rig");
  const stops = need<HTMLInputElement>("#stops");
  const named = need<HTMLElement>("#named");
  const benders = need<HTMLElement>("#touch-benders");
  const first = [...named.childNodes];
  let neck: NeckPicture | null = null;
  let asking = new AbortController();

  async function lay(): Promise<void> {
    const got = await ask<GripNeck>(`/grips/neck?rig=${encodeURIComponent(rig.value)}`);
    neck = new NeckPicture(got.shown, 15);
    neck.element.setAttribute("aria-label", `The neck of ${got.shown.title}, with the grip that is touched`);
    neck.onTouch = touched;
    need("#touch-neck").replaceChildren(neck.element);
    benders.replaceChildren(...got.benders.map((b) => h("label", { class: "pair" }, h("input", { type: "checkbox", onchange: () => void tell().catch(complain) }), h("span", {}, b.name))));
    clear();
  }

  function clear(): void {
    stops.value = "";
    void tell().catch(complain);
  }

  /** What is typed: each string with what stands after its colon. */
  function typed(): Map<string, string> {
    return new Map(stops.value.split(/[\s,]+/).filter(Boolean).map((t) => [t.split(":")[0]!, t.slice(t.indexOf(":") + 1)]));
  }

  function touched(string: number, fret: number): void {
    const now = typed();
    if (now.get(String(string)) === String(fret)) now.delete(String(string));
    else now.set(String(string), String(fret));
    stops.value = [...now].sort(([a], [b]) => Number(a) - Number(b)).map(([s, f]) => `${s}:${f}`).join(", ");
    void tell().catch(complain);
  }

  /** Says what the grip sounds, and how the steel lies. */
  async function tell(): Promise<void> {
    asking.abort();
    asking = new AbortController();
    const signal = asking.signal;
    if (typed().size === 0) {
      neck?.mark([], null);
      named.replaceChildren(...first);
      return;
    }
    const set = [...benders.querySelectorAll("input")].reduce((n, b, i) => n + (b.checked ? 2 ** i : 0), 0);
    try {
      const got = await ask<TouchedGrip>("/grips/name", { rig: rig.value, stops: stops.value, benders: set } satisfies AskedGrip, signal);
      neck?.mark(got.stops, got.steel);
      show(got);
    } catch (e) {
      if (signal.aborted) return;
      neck?.mark([...typed()].map(([s, f]) => [Number(s), Math.round(parseFloat(f)) || 0]), null);
      named.replaceChildren(h("p", { class: "alarm" }, e instanceof Error ? e.message : String(e)));
    }
  }

  function show(got: TouchedGrip): void {
    const also = got.names.slice(1, 4);
    named.replaceChildren(
      h("p", { class: "grip-name" }, h("strong", {}, got.names[0] ?? "No chord that has a name"), also.length ? h("span", { class: "soft" }, ` also ${also.join(", ")}`) : null),
      h("p", {}, [...got.notes].reverse().map((n) => `${n.sounds} (${pretty(n.label)})`).join("  "), h("span", { class: "soft" }, ` ${got.words}${got.missing.length ? `, without the ${got.missing.join(" and the ")}` : ""}`)),
      ...(got.within.length ? [h("p", { class: "small soft" }, `Inside it sound ${got.within.join(", ")}.`)] : []),
      h("div", { class: "grip-actions" }, h("button", { type: "button", "data-hear": got.body }, "Hear it"),
        h("form", { method: "post", action: "/grips" }, h("input", { type: "hidden", name: "grip", value: got.body }), h("input", { type: "hidden", name: "back", value: named.dataset["back"] ?? "" }), h("button", { type: "submit" }, "Keep it"))),
    );
  }

  rig.addEventListener("change", () => void lay().catch(complain));
  stops.addEventListener("change", () => void tell().catch(complain));
  need("#clear").addEventListener("click", clear);
  void lay().catch(complain);
}
