// Bringing tunes in: a file chosen or dropped anywhere on a page that takes one.

import { h, need } from "./dom";
import type { AskedFile, BroughtTab, BroughtTunes, Refusal } from "./forms";
import { count } from "./names";
import { ask, complain, Refused, tell } from "./site";

export function dropping(): void {
  const form = document.querySelector<HTMLFormElement>("form[data-drop]");
  if (!form) return;
  const input = form.querySelector<HTMLInputElement>("input[type=file]");
  form.querySelector<HTMLElement>("[data-noscript]")?.setAttribute("hidden", "");
  input?.addEventListener("change", () => {
    if (input.files?.length) void bring(input.files);
    input.value = "";
  });
  let depth = 0;
  document.addEventListener("dragenter", (e) => {
    if (!e.dataTransfer?.types.includes("Files")) return;
    depth++;
    document.body.classList.add("dragging");
  });
  document.addEventListener("dragleave", () => {
    depth = Math.max(0, depth - 1);
    if (depth === 0) document.body.classList.remove("dragging");
  });
  document.addEventListener("dragover", (e) => e.preventDefault());
  document.addEventListener("drop", (e) => {
    e.preventDefault();
    depth = 0;
    document.body.classList.remove("dragging");
    if (e.dataTransfer?.files.length) void bring(e.dataTransfer.files);
  });
}

async function bring(files: FileList): Promise<void> {
  const tabs = [...files].filter((f) => f.name.toLowerCase().endsWith(".txt"));
  const rest = [...files].filter((f) => !tabs.includes(f));
  tell("Reading…");
  try {
    let to = rest.length ? await bringTunes(rest) : "";
    for (const f of tabs) {
      const kept = await bringTab(f);
      if (kept) to = to ? "/tunes" : kept;
    }
    if (to) window.location.href = to;
    else need<HTMLElement>(".notice").hidden = true;
  } catch (e) {
    complain(e);
  }
}

async function bringTunes(files: File[]): Promise<string> {
  const said = await sendTunes(files, { ask: "1" });
  if (said.go) return said.go;
  return new Promise((done, fail) => chooseTunes(said, files.length === 1 ? files[0]!.name : count(files.length, "file"), (take) => {
    if (take.length === 0) done("");
    else sendTunes(files, { take }).then((kept) => done(kept.go ?? "/tunes"), fail);
  }));
}

/** Sends files with tunes; ask has several only told, take keeps some of them. */
async function sendTunes(files: File[], wish: { ask?: string; take?: string[] }): Promise<BroughtTunes> {
  const form = new FormData();
  for (const f of files) form.append("file", f, f.name);
  if (wish.ask) form.append("ask", wish.ask);
  for (const t of wish.take ?? []) form.append("take", t);
  const res = await fetch("/tunes", { method: "POST", headers: { Accept: "application/json" }, body: form });
  const said = (await res.json().catch(() => ({}))) as Partial<BroughtTunes & Refusal>;
  if (!res.ok || said.count === undefined) throw new Refused(said.error ?? `The program answered ${res.status}.`, res.status);
  return { count: said.count, notes: said.notes ?? [], ...said };
}

/** Says how many tunes came and lets some be chosen; done is told their places, none when they are let be. */
function chooseTunes(came: BroughtTunes, from: string, done: (take: string[]) => void): void {
  const ticks = (came.tunes ?? []).map((t, i) => ({ t, box: h("input", { type: "checkbox", checked: true, value: i, onchange: () => told() }) }));
  const keep = h("button", { type: "button", class: "main" });
  const all = h("button", { type: "button", onclick: () => tickAll() });
  const chosen = (): string[] => ticks.filter((t) => t.box.checked).map((t) => t.box.value);
  const told = (): void => {
    const n = chosen().length;
    keep.disabled = n === 0;
    keep.textContent = n === ticks.length ? `Keep all ${n}` : `Keep ${count(n, "tune")}`;
    all.textContent = n === ticks.length ? "Tick none" : "Tick all";
  };
  const tickAll = (): void => {
    const on = chosen().length < ticks.length;
    for (const t of ticks) t.box.checked = on;
    told();
  };
  const box = h("dialog", { class: "ask-rig", "aria-labelledby": "came-head" },
    h("h2", { id: "came-head" }, `${count(came.count, "tune")} came from ${from}`),
    h("p", {}, "Choose those that you want to keep."),
    h("ul", { class: "choose-tunes", tabindex: "0", "aria-label": "Tunes that came" }, ...ticks.map(({ t, box: tick }) => h("li", {}, h("label", { class: "pair" }, tick, h("span", {}, h("strong", {}, t.title), h("span", { class: "soft small" }, ` ${t.about}`)))))),
    ...(came.notes.length ? [h("details", {}, h("summary", {}, `${count(came.notes.length, "remark")} on reading them`), h("ul", { class: "small" }, ...came.notes.map((n) => h("li", {}, n))))] : []),
    h("div", { class: "grip-actions" }, keep, all, h("button", { type: "button", onclick: () => box.close() }, "Leave them")));
  let take: string[] = [];
  keep.addEventListener("click", () => {
    take = chosen();
    box.close();
  });
  box.addEventListener("close", () => {
    box.remove();
    done(take);
  });
  told();
  need<HTMLElement>(".notice").hidden = true;
  document.body.append(box);
  box.showModal();
}

/** Brings tab text: where it goes, or "" when it was let be. */
async function bringTab(file: File): Promise<string> {
  const text = await file.text();
  const send = (rig: string, keep: boolean): Promise<BroughtTab> => ask<BroughtTab>("/tunes/file", { name: file.name, text, rig, keep } satisfies AskedFile);
  const first = await send("", false);
  if (first.go) return first.go;
  return new Promise((done) => {
    const rig = h("select", { id: "tab-rig" }, h("option", { value: "" }, "choose the instrument"), ...first.rigs.map((r) => h("option", { value: r.ref }, r.title)));
    const said = h("div", { class: "remarks", role: "status" });
    const keep = h("button", { type: "button", class: "main" }, "Keep it");
    const box = h(
      "dialog",
      { class: "ask-rig", "aria-labelledby": "tab-head" },
      h("h2", { id: "tab-head" }, file.name),
      h("p", {}, "Tab as text is read for one instrument."),
      h("label", { class: "pair", for: "tab-rig" }, h("span", {}, "Instrument"), rig),
      said,
      h("div", { class: "grip-actions" }, keep, h("button", { type: "button", onclick: () => box.close() }, "Leave it")),
    );
    let to = "";
    const show = (got: BroughtTab): void => {
      if (got.rig) rig.value = got.rig;
      keep.disabled = !got.readable;
      const heading = !got.rig ? "" : got.readable ? (got.said.length ? `${got.said.length} ${got.said.length > 1 ? "things were" : "thing was"} guessed:` : "It can be read.") : "It can't be read for this instrument:";
      said.replaceChildren(
        ...(heading ? [h("p", {}, h("strong", {}, heading))] : []),
        ...(got.said.length
          ? [h("ul", { tabindex: "0", "aria-label": "Remarks" }, ...got.said.map((s) => h("li", {}, `${s.line ? `Line ${s.line}: ` : ""}${s.text}${s.hint ? ` (${s.hint})` : ""}`, s.shown ? h("pre", {}, s.shown) : null)))]
          : []),
      );
    };
    const take = (keeping: boolean): void => {
      send(rig.value, keeping).then((got) => {
        if (!got.go) return show(got);
        to = got.go;
        box.close();
      }, complain);
    };
    rig.addEventListener("change", () => {
      if (rig.value) take(false);
    });
    keep.addEventListener("click", () => take(true));
    box.addEventListener("close", () => {
      box.remove();
      done(to);
    });
    need<HTMLElement>(".notice").hidden = true;
    document.body.append(box);
    show(first);
    box.showModal();
  });
}
