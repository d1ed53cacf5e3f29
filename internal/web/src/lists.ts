// Lists of what is kept: a field that searches them, and renaming in place.

import { h, need } from "./dom";
import type { Item } from "./forms";
import { count } from "./names";
import { ask, complain } from "./site";

export function lists(): void {
  for (const list of document.querySelectorAll<HTMLElement>("[data-list]")) {
    search(list);
    for (const row of list.querySelectorAll<HTMLElement>("li[data-id]")) renaming(row);
  }
}

/** Puts a field over a list that leaves only the rows with all of its words. */
function search(list: HTMLElement): void {
  const rows = [...list.querySelectorAll<HTMLElement>("li")];
  if (rows.length < 2) return;
  const name = list.dataset["list"] ?? "";
  const said = h("span", { class: "soft small", role: "status" });
  const field = h("input", { type: "search", class: "search", "aria-label": `Search ${name}s`, placeholder: `Search ${count(rows.length, name)}` });
  field.addEventListener("input", () => {
    const words = plain(field.value).split(/\s+/).filter(Boolean);
    let left = 0;
    for (const row of rows) {
      const text = plain(row.textContent ?? "");
      row.hidden = !words.every((w) => text.includes(w));
      if (!row.hidden) left++;
    }
    said.textContent = words.length ? `${left} of ${rows.length}` : "";
  });
  list.prepend(h("div", { class: "search-row" }, field, said));
}

/** A text without capitals and accents, as people search. */
function plain(text: string): string {
  return text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase();
}

/** Puts a button beside a row that makes a field of its title. */
function renaming(row: HTMLElement): void {
  const title = need<HTMLElement>("strong", row);
  const button = h("button", { type: "button", class: "plain small rename", onclick: () => open() }, "Rename", h("span", { class: "unseen" }, ` ${title.textContent}`));
  row.append(button);

  function open(): void {
    const field = h("input", { type: "text", maxlength: 300, value: title.textContent ?? "", "aria-label": "Title", required: true });
    const form = h("form", { class: "rename-form" }, field, h("button", { type: "submit", class: "main" }, "Keep"), h("button", { type: "button", onclick: () => close() }, "Leave it"));
    const close = (): void => {
      form.replaceWith(button);
      button.focus();
    };
    form.addEventListener("submit", (e) => {
      e.preventDefault();
      rename(field.value.trim()).then(close, complain);
    });
    form.addEventListener("keydown", (e) => {
      if (e.key === "Escape") close();
    });
    button.replaceWith(form);
    field.select();
  }

  async function rename(to: string): Promise<void> {
    if (to === "" || to === title.textContent) return;
    const got = await ask<Item>(`/items/${row.dataset["id"]}/save`, { base: Number(row.dataset["revision"]), title: to, why: "renamed" });
    row.dataset["revision"] = String(got.revision);
    title.textContent = got.title;
    need("span", button).textContent = ` ${got.title}`;
  }
}
