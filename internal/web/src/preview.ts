// The sheet as it prints, seen before it is printed or handed out, in whichever
// layout is chosen there.

import { h, need } from "./dom";
import type { SheetPages } from "./forms";
import { count } from "./names";
import { ask, complain } from "./site";
import { paper } from "./sheets";

/** What is drawn sooner than this needs no word of how it goes, in milliseconds. */
const soonMs = 400;

/** The page's fields that say how a sheet prints. */
export const printFields = ["#layout", "#paper", "#low", "#left"];

/** What they ask for; a tick that is not set asks for nothing. */
export function printed(): Record<string, string> {
  const all = printFields.map((s) => need<HTMLSelectElement | HTMLInputElement>(s));
  return Object.fromEntries(all.filter((e) => !(e instanceof HTMLInputElement) || e.checked).map((e) => [e.id, e instanceof HTMLInputElement ? "1" : e.value]));
}

/** Shows the sheet that at gives the address of; a layout that is chosen there is chosen on the page. */
export function seeSheets(at: (query: Record<string, string>) => string): void {
  const field = need<HTMLSelectElement>("#layout");
  const pages = h("div", { class: "seen-pages", tabindex: "0", role: "region", "aria-label": "The pages" });
  const said = h("p", { class: "soft small", role: "status" });
  const buttons = [...field.options].map((o) => h("button", { type: "button", onclick: () => choose(o.value) }, o.textContent));
  const box = h("dialog", { class: "seen-sheet", "aria-labelledby": "seen-head" },
    h("div", { class: "head" }, h("h2", { id: "seen-head" }, "As it prints"), h("button", { type: "button", onclick: () => box.close() }, "Close")),
    h("div", { class: "seen-layouts", role: "group", "aria-label": "Layout" }, ...buttons), said, pages);
  let asking = new AbortController();

  function choose(layout: string): void {
    field.value = layout;
    field.dispatchEvent(new Event("change"));
    show().catch(complain);
  }

  async function show(): Promise<void> {
    asking.abort();
    asking = new AbortController();
    const signal = asking.signal;
    buttons.forEach((b, i) => b.setAttribute("aria-pressed", String(field.options[i]!.value === field.value)));
    said.textContent = "Drawing it…";
    // How long a sheet takes is not known beforehand: that it goes on is shown, and for how long.
    const began = performance.now();
    const bar = h("progress", { "aria-label": "Drawing the sheet" });
    const ticking = window.setInterval(() => {
      const seconds = Math.floor((performance.now() - began) / 1000);
      if (!bar.isConnected) said.after(bar);
      pages.setAttribute("aria-busy", "true");
      if (seconds > 0) said.textContent = `Drawing it for ${count(seconds, "second")}…`;
    }, soonMs);
    const got = await ask<SheetPages>(at(printed()), undefined, signal)
      .catch((e: unknown) => {
        if (!signal.aborted) said.textContent = e instanceof Error ? e.message : String(e);
        return null;
      })
      .finally(() => {
        window.clearInterval(ticking);
        bar.remove();
        pages.removeAttribute("aria-busy");
      });
    if (signal.aborted || !got) return;
    said.textContent = `${count(got.pages.length, "page")}, ${field.selectedOptions[0]?.textContent ?? ""}.`;
    pages.replaceChildren(...got.pages.map(paper));
  }

  box.addEventListener("close", () => box.remove());
  document.body.append(box);
  box.showModal();
  show().catch(complain);
}
