// Text beside the picture: a tune as ABC, its tab as text, a rig; readable text
// is saved as it changes.

import { h, need } from "./dom";
import type { Editor } from "./editor";
import type { AskedText, Fault, Said, TuneSettings, TypedTab } from "./forms";
import type { Change } from "./saves";
import type { Setting } from "./setting";
import { ask, complain, type Keeper } from "./site";

export interface Opening {
  language: "abc" | "tab" | "toml";
  label: string;
  text: string;
  readOnly?: boolean;
  check: (text: string) => Promise<Fault[]>;
  /** What a readable text changes in the item; null when it changes nothing. */
  save: (text: string) => Change | null;
}

/** A check that asks the program at a path. */
export function checkAt(path: string, seen?: (answer: unknown) => void): (text: string) => Promise<Fault[]> {
  return async (text) => {
    const answer = await ask<Said>(path, { text } satisfies AskedText);
    seen?.(answer);
    return answer.said;
  };
}

/** Opens the editor; readable text is saved as it changes. */
export async function openEditor(o: Opening, keeper: Keeper): Promise<Editor> {
  const module = (await import(document.body.dataset["editor"]!)) as typeof import("./editor");
  const state = need<HTMLElement>("#editor-state");
  const problems = need<HTMLElement>("#editor-problems");
  let last = o.text;
  const editor: Editor = module.open({
    parent: need("#editor"),
    text: o.text,
    language: o.language,
    label: o.label,
    readOnly: o.readOnly === true,
    check: o.check,
    changed: (text, readable) => {
      if (text === last) return;
      if (!readable) {
        state.textContent = "Not kept yet: it can't be read as it stands.";
        return;
      }
      const change = o.save(text);
      if (!change) return;
      last = text;
      state.textContent = "Keeping…";
      keeper.save(change, "text changed").then(
        () => (state.textContent = `Kept as revision ${keeper.state.revision}.`),
        (e: unknown) => {
          state.textContent = "Not kept.";
          complain(e);
        },
      );
    },
    told: (said) => problems.replaceChildren(...said.map((s) =>
      h("li", {}, h("button", { type: "button", class: "plain small", onclick: () => editor.go(s.line ?? 1) }, `${s.line ? `Line ${s.line}: ` : ""}${s.text}${s.hint ? ` (${s.hint})` : ""}`)))),
  });
  return editor;
}

/** The panel with a tune's text, as ABC or as tab for the rig that is shown. */
export class TuneText {
  private editor: Editor | null = null;
  private readonly panel = need<HTMLDetailsElement>("#text-panel");
  private readonly writtenAs = need<HTMLSelectElement>("#written-as");
  /** The tab as it was typed last, and what keeping it would change. */
  private typed: { text: string; change: Change | null } = { text: "", change: null };

  /** tabPath gives the address of the tab as text. */
  constructor(
    private readonly keeper: Keeper,
    private readonly setting: Setting,
    private readonly tabPath: () => string,
  ) {
    this.panel.addEventListener("toggle", () => {
      if (this.panel.open && !this.editor) this.open().catch(complain);
    });
    this.writtenAs.addEventListener("change", () => this.open().catch(complain));
  }

  /** The tune's text as it stands in the editor, or as it is kept. */
  get abc(): string {
    return this.editor && this.writtenAs.value === "abc" ? this.editor.text() : this.keeper.state.body;
  }

  /** Follows a save: the text that is being typed is left alone. */
  follow(body: string): void {
    if (!this.editor) return;
    if (this.writtenAs.value === "abc") this.editor.replace(body);
    else if (body !== this.typed.change?.body) this.tab().then((text) => this.editor?.replace(text), complain);
  }

  private async tab(): Promise<string> {
    const res = await fetch(this.tabPath());
    if (!res.ok) throw new Error("The tab could not be written as text.");
    return res.text();
  }

  private async open(): Promise<void> {
    need("#editor").replaceChildren();
    this.editor = null;
    if (this.writtenAs.value === "abc") {
      this.editor = await openEditor({ language: "abc", label: "The tune as ABC", text: this.keeper.state.body, check: checkAt("/tunes/check"), save: (text) => ({ body: text }) }, this.keeper);
      return;
    }
    this.typed = { text: await this.tab(), change: null };
    this.editor = await openEditor(
      { language: "tab", label: "The tab as text", text: this.typed.text, check: (text) => this.checkTab(text), save: (text) => (this.typed.text === text ? this.typed.change : null) },
      this.keeper,
    );
  }

  private async checkTab(text: string): Promise<Fault[]> {
    const got = await ask<TypedTab>("/tunes/tab", { text, rig: this.setting.rig } satisfies AskedText);
    this.typed = { text, change: null };
    if (got.body && got.name) {
      const extra: TuneSettings = { ...this.setting.extra, wishes: { ...this.setting.extra.wishes, [got.name]: got.wishes ?? {} } };
      this.typed.change = { body: got.body, extra: { ...extra } };
    }
    return got.said;
  }
}
