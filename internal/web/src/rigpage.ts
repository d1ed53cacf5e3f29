// One rig: its text beside the table of strings, which follows as one types.

import { checkAt, openEditor } from "./text";
import { h, need } from "./dom";
import type { Editor } from "./editor";
import type { AskedRigEdit, AskedText, CheckedRig, StringRow, Text } from "./forms";
import { pretty } from "./names";
import { capture, siteCore } from "./program";
import { openStrings, SetupTable } from "./setup";
import { ask, complain, Keeper, readState } from "./site";
import { heardStrings, tunedChoice } from "./tuner";

export function rigPage(): void {
  const own = need<HTMLElement>("#editor").dataset["own"] === "true";
  let editor: Editor | null = null;
  const keeper = new Keeper(readState(), (s) => {
    editor?.replace(s.body);
    need("h1").textContent = s.title;
  });
  const tuner = document.querySelector<HTMLElement>("#tuner");
  const tune = tuner && tuneStrings(tuner, () => editor?.text() ?? keeper.state.body);
  const setup = new SetupTable(own, (now, why) => edit({ setup: now }, why, need("#setup-state")));
  const follow = (answer: CheckedRig): void => {
    table(answer, own);
    tune?.(answer.strings?.map((s) => s.open) ?? []);
    if (answer.setup) setup.show(answer.setup, answer.strings?.map((s) => s.open) ?? []);
  };

  /** Changes the rig's text; what can't be is said, and the fields keep what was typed. */
  function edit(change: Pick<AskedRigEdit, "string" | "setup">, why: string, state: HTMLElement): void {
    ask<Text>("/rigs/edit", { text: editor?.text() ?? keeper.state.body, ...change } satisfies AskedRigEdit)
      .then(async (got) => {
        await keeper.save({ body: got.text }, why);
        follow(await ask<CheckedRig>("/rigs/check", { text: got.text } satisfies AskedText));
        state.textContent = "";
      })
      .catch((err: unknown) => {
        state.textContent = err instanceof Error ? err.message : String(err);
      });
  }

  need("#string-rows").addEventListener("change", (e) => {
    const input = e.target;
    if (!(input instanceof HTMLInputElement) || !input.dataset["string"]) return;
    const number = Number(input.dataset["string"]);
    const field = (what: string): string => need<HTMLInputElement>(`input[data-string="${number}"][data-what="${what}"]`).value;
    edit({ string: { number, open: field("open"), gauge: field("gauge") } }, `string ${number} changed`, need("#edit-state"));
  });
  openEditor({ language: "toml", label: "The instrument as text", text: keeper.state.body, readOnly: !own, check: checkAt("/rigs/check", (answer) => follow(answer as CheckedRig)), save: (text) => ({ body: text }) }, keeper).then(
    (e) => (editor = e),
    complain,
  );
}

/** The tuner below the table of strings; what it gives lays the needles anew where the open strings have changed. */
function tuneStrings(place: HTMLElement, text: () => string): (opens: string[]) => void {
  const tuned = tunedChoice();
  const held = h("div", {});
  place.append(h("p", {}, h("label", { class: "pair" }, h("span", {}, "Open strings are tuned"), tuned)), held);
  let listening: ReturnType<typeof heardStrings> | null = null;
  let laid = "";
  const lay = (opens: string[]): void => {
    if (opens.length === 0 || opens.join() === laid) return;
    laid = opens.join();
    void listening?.looks.stop();
    const strings = opens.map((name, i) => ({ number: i + 1, name: pretty(name) })).reverse();
    listening = heardStrings(strings, { core: siteCore(), capture: capture(), of: () => ({ rig: text(), tuned: tuned.value }), hush: () => undefined });
    held.replaceChildren(...listening.elements);
  };
  lay(openStrings());
  place.addEventListener("toggle", () => void listening?.looks.stop());
  return lay;
}

function table(c: CheckedRig, own: boolean): void {
  if (!c.strings) return;
  for (const s of c.strings) row(s, own);
  need("#load").textContent = c.load ?? "";
  need("#reasons").replaceChildren(...(c.reasons ?? []).map((r) => h("li", {}, r.charAt(0).toUpperCase() + r.slice(1))));
}

/** Brings one row up to date; the field that is being typed in is left alone. */
function row(s: StringRow, own: boolean): void {
  const body = need<HTMLElement>("#string-rows");
  const at = body.children[s.number - 1];
  const cells = at?.querySelectorAll("td");
  if (!at || !cells || cells.length !== 5) {
    // Strings were added or taken away in the text: the page is laid out anew.
    window.location.reload();
    return;
  }
  if (own) {
    for (const input of at.querySelectorAll<HTMLInputElement>("input")) {
      if (input !== document.activeElement) input.value = input.dataset["what"] === "open" ? s.open : s.short;
    }
    const gauge = cells[1]!.querySelector("span");
    if (gauge) gauge.textContent = s.gauge;
  }
  cells[2]!.textContent = s.wire;
  cells[3]!.textContent = s.tension;
  cells[4]!.replaceChildren(s.share, ...(s.finding === "fine" ? [] : [h("span", { class: "alarm" }, ` ${s.finding}`)]));
}
