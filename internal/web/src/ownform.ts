// A form for the student's own instrument on a lesson's page: scale length, strings,
// tuning, gauges as packets print them, body, capo and benders. What is wrong
// is said at its field.

import { h } from "./dom";
import type { AskedInstrument, Fault, Instruments } from "./forms";

type Field = keyof AskedInstrument;

/** How long typing rests before the program is asked, in milliseconds. */
const restMs = 400;

/** What is written in each field when nothing has been. */
const blank: AskedInstrument = { title: "", body: "lap steel", scale: "", strings: "6", tuning: "", gauges: "", capo: "", benders: "" };

export class OwnForm {
  readonly element: HTMLElement;
  private readonly fields = new Map<Field, HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement>();
  private readonly said = new Map<Field, HTMLElement>();
  /** Fields that somebody has been in: what is wrong in another is not yet said. */
  private readonly visited = new Set<Field>();
  private resting = 0;

  /** asked is told what stands in the form when typing rests. */
  constructor(
    known: Instruments,
    private readonly asked: (form: AskedInstrument) => void,
  ) {
    const tunings = h("datalist", { id: "own-tunings" }, ...known.tunings.map((t) => h("option", { value: t.text }, t.title)));
    const text = (placeholder: string): HTMLInputElement => h("input", { type: "text", placeholder, autocomplete: "off", spellcheck: false });
    const tuning = text("D2 A2 D3 F#3 A3 D4");
    tuning.setAttribute("list", tunings.id);
    this.element = h("form", { class: "own-form", autocomplete: "off", onsubmit: (e: Event) => { e.preventDefault(); this.now(); } },
      this.field("body", "Kind", h("select", {}, ...known.bodies.map((b) => h("option", {}, b)))),
      this.field("strings", "Strings", h("input", { type: "number", min: 1, max: 16 })),
      this.field("scale", "Scale length", text("22.5 in"), "From nut to bridge, in inches or millimetres."),
      this.field("tuning", "Tuning, low to high", tuning, "Letters alone will do: each string is then the next one up, the last near D4."),
      this.field("gauges", "Gauges, as the packet prints them", text(".014 .018 .026w .030w .036w .056w"), "From either end; w for wound. Left empty, the tune is placed all the same, and nothing is said of tension."),
      this.field("capo", "Capo: its highest fret", text("none"), "A sliding one is a number, 7; one that clamps on is clamp 7."),
      this.field("benders", "Benders, one a line", h("textarea", { rows: 2, placeholder: "A palm 3+1 2+2", spellcheck: false }), "Which string by how many semitones: A palm 3+1 2+2."),
      this.field("title", "What you call it", text("its kind and its tuning")),
      tunings);
    this.element.addEventListener("input", () => this.soon());
    this.element.addEventListener("change", (e) => {
      for (const [name, f] of this.fields) if (f === e.target) this.visited.add(name);
      this.soon();
    });
    this.fill(blank);
  }

  /** Writes into the fields what once stood in them. */
  fill(form: Partial<AskedInstrument>): void {
    for (const [name, f] of this.fields) f.value = form[name] ?? blank[name];
  }

  /** Says at their fields what is wrong in those that somebody has been in; gives what belongs to none. */
  fail(faults: Fault[]): Fault[] {
    for (const [name, f] of this.fields) {
      const wrong = this.visited.has(name) ? faults.find((x) => x.part === name) : undefined;
      this.said.get(name)!.textContent = wrong ? `${wrong.line && name === "benders" ? `Line ${wrong.line}: ` : ""}${wrong.text}` : "";
      f.setAttribute("aria-invalid", String(wrong !== undefined));
    }
    return faults.filter((x) => !this.fields.has(x.part as Field));
  }

  private field(name: Field, label: string, input: HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement, help = ""): HTMLElement {
    const said = h("p", { class: "alarm small", id: `own-${name}-said` });
    input.id = `own-${name}`;
    input.setAttribute("aria-describedby", `${help ? `own-${name}-help ` : ""}${said.id}`);
    this.fields.set(name, input);
    this.said.set(name, said);
    return h("div", { class: `field own-field-${name}` }, h("label", { for: input.id }, label), input,
      ...(help ? [h("p", { class: "small soft", id: `own-${name}-help` }, help)] : []), said);
  }

  private soon(): void {
    window.clearTimeout(this.resting);
    this.resting = window.setTimeout(() => this.now(), restMs);
  }

  private now(): void {
    window.clearTimeout(this.resting);
    const form = { ...blank };
    for (const [name, f] of this.fields) form[name] = f.value;
    if (!form.scale.trim() && !form.tuning.trim()) return; // nothing has been begun
    this.asked(form);
  }
}
