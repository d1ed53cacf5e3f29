// The panels beside a sheet that only tell: about this tab, in words, which rig
// suits the tune, and the files to take along.

import { h, need } from "./dom";
import { account, facts, wrote } from "./facts";
import type { Placed, Ranked, Ranking, Summary, Words } from "./forms";
import { capital, count } from "./names";
import { printed, printFields } from "./preview";
import { ask, complain } from "./site";

/** Tells about a tab what a teacher wants to know first. */
export function describe({ about: a, blank, asleep }: Placed): void {
  need("#about").replaceChildren(
    h("h2", {}, a.title),
    h("dl", { class: "facts" }, ...facts(a, blank === true).flatMap(([k, v]) => [h("dt", {}, k), h("dd", {}, v)])),
    ...(blank ? [] : findings(a)),
    ...(asleep?.length ? [sleeping(asleep)] : []),
  );
}

function sleeping(pins: string[]): HTMLElement {
  const list = pins.map((words) => h("li", {}, `${capital(words)}.`));
  return h("div", {}, h("h3", {}, `${count(pins.length, "pin")} asleep`), h("ul", { class: "compromises", tabindex: "0", "aria-label": "Pins that are asleep" }, ...list));
}

function findings(a: Summary): HTMLElement[] {
  const out = account(a).map((line) => h("p", { class: "small" }, line));
  if (a.compromises.length === 0) return [...out, h("p", { class: "small soft" }, "Everything sounds exactly as written.")];
  const list = a.compromises.map((c) => h("li", {}, wrote(c)));
  return [...out, h("div", {}, h("h3", {}, count(a.compromises.length, "compromise")), h("ul", { class: "compromises", tabindex: "0", "aria-label": "Compromises" }, ...list))];
}

/** A panel that asks for what it shows when it is open, and no longer when it is shut. */
function panel(selector: string, fill: (signal: AbortSignal) => Promise<void>): () => void {
  const box = need<HTMLDetailsElement>(selector);
  let asking = new AbortController();
  const refresh = (): void => {
    asking.abort();
    asking = new AbortController();
    if (box.open) fill(asking.signal).catch(complain);
  };
  box.addEventListener("toggle", refresh);
  return refresh;
}

/** The tab in words; gives what brings it up to date. came is told the lines of the bars. */
export function wordsPanel(path: () => string, came: (bars: HTMLElement[]) => void): () => void {
  return panel("#words-panel", async (signal) => {
    const got = await ask<Words>(path(), undefined, signal);
    const lines = got.words.trim().split("\n").map((line) => h("p", {}, line));
    need("#told").replaceChildren(...lines);
    came(lines.filter((l) => /^(Bar \d|Pickup)/.test(l.textContent)));
  });
}

/** The rigs in the order in which they suit the tune. */
export function rankPanel(path: (one: string) => string, choose: (rig: string) => void): void {
  panel("#rank-panel", async (signal) => {
    const rigs = [...need<HTMLSelectElement>("#rig").options].map((o) => o.value);
    const far = h("progress", { max: rigs.length, value: 0, "aria-label": "Instruments tried" });
    const said = h("span", { class: "small soft" });
    need("#ranking").replaceChildren(far, said);
    const ranked: Ranked[] = [];
    for (const [i, rig] of rigs.entries()) {
      said.textContent = ` ${i} of ${count(rigs.length, "instrument")} tried`;
      far.value = i;
      ranked.push(...(await ask<Ranking>(path(rig), undefined, signal)).ranked);
      ranked.sort((a, b) => a.score - b.score);
      need("#ranked").replaceChildren(...ranked.map((r) =>
        h("li", {}, h("button", { type: "button", class: "plain", onclick: () => choose(r.ref) }, r.title),
          h("span", { class: "soft small" }, ` difficulty ${r.difficulty.toFixed(1)} of 10; ${r.reasons.join("; ")}`))));
    }
    need("#ranking").replaceChildren();
  });
}

/** The links to files; gives what brings them up to date. */
export function filesPanel(path: (file: string, query: Record<string, string>) => string, rig: () => string): () => void {
  const refresh = (): void => {
    const query = printed();
    for (const a of document.querySelectorAll<HTMLAnchorElement>("a[data-file]")) a.href = path(a.dataset["file"] ?? "", query);
    need<HTMLInputElement>("[data-current-rig]").value = rig();
  };
  for (const s of printFields) need(s).addEventListener("change", refresh);
  return refresh;
}
