// One rig: its text beside the table of strings, which follows as one types.

import { checkAt, openEditor } from "./bench";
import { h, need } from "./dom";
import type { Editor, Said } from "./editor";
import { complain, Keeper, readState } from "./site";

interface StringRow {
  number: number;
  open: string;
  gauge: string;
  wire: string;
  tension: string;
  share: string;
  finding: string;
}

interface Checked {
  said: Said[];
  strings?: StringRow[];
  load?: string;
  reasons?: string[] | null;
  title?: string;
}

export function rigPage(): void {
  const own = need<HTMLElement>("#editor").dataset["own"] === "true";
  let editor: Editor | null = null;
  const keeper = new Keeper(readState(), (s) => {
    editor?.replace(s.body);
    need("h1").textContent = s.title;
  });
  openEditor({ language: "toml", label: "The rig as text", text: keeper.state.body, readOnly: !own, check: checkAt("/rigs/check", (answer) => table(answer as Checked)), save: (text) => ({ body: text }) }, keeper).then(
    (e) => (editor = e),
    complain,
  );
}

function table(c: Checked): void {
  if (!c.strings) return;
  need("#string-rows").replaceChildren(
    ...c.strings.map((s) =>
      h("tr", { "data-finding": s.finding },
        h("th", { scope: "row" }, String(s.number)),
        ...[s.open, s.gauge, s.wire, s.tension].map((t) => h("td", {}, t)),
        h("td", {}, s.share, s.finding === "fine" ? null : h("span", { class: "alarm" }, ` ${s.finding}`))),
    ),
  );
  need("#load").textContent = c.load ?? "";
  need("#reasons").replaceChildren(...(c.reasons ?? []).map((r) => h("li", {}, r.charAt(0).toUpperCase() + r.slice(1))));
}
