// One take: heard from any note, and what the teacher says of single notes.

import { need } from "./dom";
import type { AskedTakeNote, Item } from "./forms";
import { ask, complain, readState, tell } from "./site";
import { TakeView } from "./takeview";

export function takePage(): void {
  const root = document.querySelector<HTMLElement>(".take-view");
  const form = document.querySelector<HTMLFormElement>("#say-of-note");
  if (!root) return;
  const view = new TakeView(root);
  if (!form) return;
  const right = need<HTMLInputElement>("#right");
  const word = need<HTMLInputElement>("#word");
  const notes = [...root.querySelectorAll<HTMLElement>(".notes li")];
  const first = readState<Item>();
  let chosen = -1;
  view.onNote = (note) => {
    chosen = note;
    const said = notes[note];
    form.hidden = said === undefined;
    right.checked = said?.dataset["right"] === "true";
    word.value = said?.dataset["word"] ?? "";
  };
  form.addEventListener("submit", (e) => {
    e.preventDefault();
    const saying: AskedTakeNote = { base: first.revision, note: chosen, at: "", string: 0, right: right.checked, word: word.value };
    tell("Listening again…");
    ask<Item>(`/takes/${first.id}/note`, saying).then(() => window.location.reload(), complain);
  });
}
