// A rig beside its strings: body, capo and benders, the last as a table
// with a row for each bender and a column for each string.

import { h, need } from "./dom";
import type { Bender, Setup } from "./forms";

const kinds = ["palm", "pedal", "knee"];

/** The open pitches that the table of strings has, string 1 first. */
export function openStrings(): string[] {
  return [...document.querySelectorAll<HTMLElement>("#string-rows tr")].map((tr) => tr.querySelector("input")?.value ?? tr.querySelector("td")?.textContent ?? "");
}

export class SetupTable {
  private readonly place = need<HTMLElement>("#benders");
  private shown = "";
  private opens: string[];

  constructor(
    private readonly own: boolean,
    private readonly changed: (now: Setup, why: string) => void,
  ) {
    this.opens = openStrings();
    const now = document.querySelector("#setup-now");
    if (now) this.show(JSON.parse(now.textContent ?? "") as Setup, this.opens);
    if (!own) return;
    need("#setup").addEventListener("change", (e) => {
      const what = e.target instanceof HTMLElement ? e.target.closest("tr")?.dataset["bender"] : undefined;
      this.tell(what === undefined ? "body or capo changed" : `bender ${this.mark(Number(what))} changed`);
    });
  }

  /** Shows a setup; fields keep what is being typed when nothing else changed. */
  show(now: Setup, opens: string[]): void {
    const text = JSON.stringify([now, opens]);
    if (text === this.shown) return;
    this.shown = text;
    this.opens = opens;
    need<HTMLSelectElement>("#body").value = now.body;
    need<HTMLSelectElement>("#capo-kind").value = now.capo.clamp ? "clamp" : "sliding";
    need<HTMLInputElement>("#capo-highest").value = String(now.capo.highest);
    need<HTMLInputElement>("#capo-at").value = String(now.capo.at);
    this.lay(now.benders);
  }

  private lay(benders: Bender[]): void {
    const held = document.activeElement instanceof HTMLElement && this.place.contains(document.activeElement) ? document.activeElement.getAttribute("aria-label") : null;
    const head = h("tr", {}, ...["Mark", "Bender", "Worked by"].map((t) => h("th", { scope: "col" }, t)), ...this.opens.map((o, i) => h("th", { scope: "col", class: "move" }, `${i + 1}`, h("span", { class: "soft" }, ` ${o}`))), ...(this.own ? [h("td", {})] : []));
    const rows = benders.map((b, i) => this.row(b, i));
    const table = h("table", { class: "benders" }, h("thead", {}, head), h("tbody", {}, ...rows));
    const add = h("button", { type: "button", onclick: () => this.add() }, "Add a bender");
    this.place.replaceChildren(
      h("h2", {}, "Benders"),
      benders.length
        ? h("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": "Table of benders" }, table)
        : h("p", { class: "soft small" }, "It has none."),
      ...(benders.length ? [h("p", { class: "small soft" }, "Semitones by which each string is raised (+) or lowered (−).")] : []),
      ...(this.own ? [h("p", {}, add)] : []),
    );
    if (held) [...this.place.querySelectorAll<HTMLElement>("[aria-label]")].find((e) => e.getAttribute("aria-label") === held)?.focus();
  }

  private row(b: Bender, i: number): HTMLTableRowElement {
    if (!this.own) {
      return h("tr", {}, h("th", { scope: "row" }, b.mark), h("td", {}, b.name), h("td", {}, b.kind), ...b.moves.map((n) => h("td", { class: "move" }, signed(n))));
    }
    const kind = h("select", { "data-what": "kind", "aria-label": `What works bender ${i + 1}` }, ...kinds.map((k) => h("option", {}, k)));
    kind.value = b.kind;
    return h(
      "tr",
      { "data-bender": i },
      h("td", {}, h("input", { class: "figure", type: "text", maxlength: 1, value: b.mark, "data-what": "mark", "aria-label": `Mark of bender ${i + 1}, one letter` })),
      h("td", {}, h("input", { class: "name", type: "text", value: b.name, "data-what": "name", "aria-label": `Name of bender ${i + 1}` })),
      h("td", {}, kind),
      ...b.moves.map((n, s) =>
        h("td", { class: "move" }, h("input", { class: "figure tabular", type: "text", inputmode: "text", value: signed(n), "data-move": s, "aria-label": `Semitones by which bender ${i + 1} moves string ${s + 1}` })),
      ),
      h("td", {}, h("button", { type: "button", class: "plain", "aria-label": `Take away bender ${i + 1}`, onclick: () => this.remove(i) }, "Take away")),
    );
  }

  /** A new row, kept once it is told what it moves. */
  private add(): void {
    const benders = this.read().benders;
    const free = [..."ABCDEFGHIJKLMNOPQRSTUVWXYZ"].find((m) => !benders.some((b) => b.mark === m)) ?? "";
    const kind = need<HTMLSelectElement>("#body").value === "pedal steel" ? "pedal" : "palm";
    this.lay([...benders, { name: `${kind} ${free}`, mark: free, kind, moves: this.opens.map(() => 0) }]);
    [...this.place.querySelectorAll<HTMLInputElement>("tbody tr:last-child input[data-move]")][0]?.focus();
  }

  private remove(i: number): void {
    const now = this.read();
    const mark = this.mark(i);
    const left = { ...now, benders: now.benders.filter((_, k) => k !== i) };
    this.lay(left.benders);
    this.tell(`bender ${mark} taken away`);
  }

  /** Hands on what is on the page, unless a cell is no number. */
  private tell(why: string): void {
    const bad = [...this.place.querySelectorAll<HTMLInputElement>("input[data-move]")].filter((m) => !Number.isInteger(semitones(m)));
    for (const m of this.place.querySelectorAll<HTMLInputElement>("input[data-move]")) m.setAttribute("aria-invalid", String(bad.includes(m)));
    if (bad[0]) need("#setup-state").textContent = `“${bad[0].value}” is no number of semitones.`;
    else this.changed(this.read(), why);
  }

  private mark(i: number): string {
    return this.field(i, "mark");
  }

  private field(i: number, what: string): string {
    return need<HTMLInputElement>(`tr[data-bender="${i}"] [data-what="${what}"]`, this.place).value.trim();
  }

  private read(): Setup {
    const benders = [...this.place.querySelectorAll<HTMLElement>("tr[data-bender]")].map((tr, i) => ({
      name: this.field(i, "name"),
      mark: this.field(i, "mark"),
      kind: this.field(i, "kind"),
      moves: [...tr.querySelectorAll<HTMLInputElement>("input[data-move]")].map((m) => semitones(m)),
    }));
    return {
      body: need<HTMLSelectElement>("#body").value,
      capo: { clamp: need<HTMLSelectElement>("#capo-kind").value === "clamp", highest: Number(need<HTMLInputElement>("#capo-highest").value), at: Number(need<HTMLInputElement>("#capo-at").value) },
      benders,
    };
  }
}

/** "+2", "−1", and nothing for a string that stays. */
function signed(n: number): string {
  return n === 0 ? "" : n > 0 ? `+${n}` : `−${-n}`;
}

/** What a cell says; not a number when it says none. */
function semitones(cell: HTMLInputElement): number {
  const text = cell.value.trim().replace("−", "-");
  return text === "" ? 0 : Number(text);
}
