// The row of fields over a tune's sheet: which rig, and what is asked of the tab.

import { h, need } from "./dom";
import type { TuneSettings, Wishes } from "./forms";
import { fields, wished } from "./wishes";

type Control = HTMLSelectElement | HTMLInputElement;

export class Setting {
  private readonly controls = new Map(Object.keys(fields).map((name) => [name, need<Control>(`#${name}`)]));
  private readonly rigField = need<HTMLSelectElement>("#rig");
  private readonly besideField = need<HTMLSelectElement>("#beside");
  private readonly capoField = need<HTMLSelectElement>("#capo");

  /** keep is told what is to be kept, and why. */
  constructor(
    public extra: TuneSettings,
    private readonly keep: (extra: TuneSettings, why: string) => void,
  ) {
    for (const [name, control] of this.controls) {
      const field = fields[name]!;
      control.addEventListener("change", () => {
        if (!control.checkValidity()) return;
        const v = valueOf(control);
        const asked = field.asks(v);
        this.change("extra" in asked ? { ...this.extra, ...asked.extra } : wished(this.extra, this.rigName, asked.wishes), field.why(v, wordsOf(control)));
      });
    }
    if (window.matchMedia("(max-width: 64rem)").matches) need<HTMLDetailsElement>("#setting").open = false;
  }

  /** The rig that is shown, as requests name it. */
  get rig(): string {
    return this.rigField.value;
  }

  /** The rig beside it; "" for none. */
  get beside(): string {
    return this.besideField.value;
  }

  /** The name that the shown rig's tabs go by. */
  get rigName(): string {
    return this.rigField.selectedOptions[0]?.dataset["name"] ?? "";
  }

  get wishes(): Wishes {
    return this.extra.wishes?.[this.rigName] ?? {};
  }

  wish(change: { [K in keyof Wishes]: Wishes[K] | undefined }, why: string): void {
    this.change(wished(this.extra, this.rigName, change), why);
  }

  /** Chooses another rig, as its field would. */
  choose(rig: string): void {
    this.rigField.value = rig;
    this.rigField.dispatchEvent(new Event("change"));
  }

  /** Brings every field to what is kept; the rig first, since the others are its own. */
  show(): void {
    const highest = (): number => Number(this.rigField.selectedOptions[0]?.dataset["capo"] ?? 0);
    for (const [name, control] of this.controls) {
      if (name === "capo") {
        control.replaceChildren(h("option", { value: "" }, "where it plays best"), ...Array.from({ length: highest() + 1 }, (_, f) => h("option", { value: f }, f ? `fret ${f}` : "off")));
      }
      const v = fields[name]!.shown(this.extra, this.wishes);
      if (typeof v === "boolean") (control as HTMLInputElement).checked = v;
      else if (v !== undefined) control.value = v;
      // What was chosen may be there no longer: the first one stands in for it.
      if (control instanceof HTMLSelectElement && control.selectedIndex < 0) control.selectedIndex = 0;
    }
    // A feel is of backup; harmony and touch are of the tune.
    const backup = this.wishes.part === "backup";
    for (const [name, shown] of [["feel", backup], ["harmony", !backup], ["touch", !backup], ["octave", !backup], ["vibrato", !backup]] as const) this.controls.get(name)!.closest("label")!.hidden = !shown;
    this.capoField.closest("label")!.hidden = highest() === 0;
  }

  private change(extra: TuneSettings, why: string): void {
    this.extra = extra;
    this.keep(extra, why);
  }
}

function valueOf(c: Control): string | boolean {
  return c instanceof HTMLInputElement && c.type === "checkbox" ? c.checked : c.value;
}

function wordsOf(c: Control): string {
  return c instanceof HTMLSelectElement ? (c.selectedOptions[0]?.textContent ?? "") : "";
}
