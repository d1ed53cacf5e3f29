// Talking to the program: requests, notices, and saves that are never lost.

import { h, need } from "./dom";
import type { AskedStep } from "./forms";
import { Saves, type Change, type State } from "./saves";

export class Refused extends Error {
  constructor(
    message: string,
    readonly status: number,
  ) {
    super(message);
  }
}

/** Asks for JSON; what the program says went wrong becomes a Refused. */
export async function ask<T>(path: string, body?: unknown, signal?: AbortSignal): Promise<T> {
  const init: RequestInit = { headers: { Accept: "application/json" }, ...(signal ? { signal } : {}) };
  if (body !== undefined) {
    init.method = "POST";
    init.headers = { Accept: "application/json", "Content-Type": "application/json" };
    init.body = JSON.stringify(body);
  }
  let res: Response;
  try {
    res = await fetch(path, init);
  } catch (e) {
    if (e instanceof DOMException && e.name === "AbortError") throw e;
    throw new Refused("Lapwright does not answer. Is it still running? What you typed is still here.", 0);
  }
  const said: unknown = res.status === 204 ? {} : await res.json().catch(() => ({}));
  if (!res.ok) throw new Refused(message(said) ?? `The program answered ${res.status}.`, res.status);
  return said as T;
}

function message(said: unknown): string | null {
  return typeof said === "object" && said !== null && "error" in said && typeof said.error === "string" ? said.error : null;
}

let hiding = 0;

/** Says something at the foot of the page; what is bad stays until dismissed. */
export function tell(text: string, bad = false): void {
  const box = need<HTMLElement>(".notice");
  window.clearTimeout(hiding);
  box.classList.toggle("bad", bad);
  box.replaceChildren(h("span", {}, text), h("button", { type: "button", onclick: () => (box.hidden = true) }, "Close"));
  box.hidden = false;
  if (!bad) hiding = window.setTimeout(() => (box.hidden = true), 6000);
}

export function complain(e: unknown): void {
  if (e instanceof DOMException && e.name === "AbortError") return;
  tell(e instanceof Error ? e.message : String(e), true);
}

export function readState<T extends State>(): T {
  return JSON.parse(need("#state").textContent ?? "{}") as T;
}

/** Saves one item, with the page's undo and redo. onState is told each new revision. */
export class Keeper {
  private readonly saves: Saves;

  constructor(first: State, onState: (s: State) => void) {
    this.saves = new Saves(
      first,
      (save) => ask<State>(`/items/${first.id}/save`, save),
      (s) => {
        this.buttons();
        onState(s);
      },
    );
    window.addEventListener("beforeunload", (e) => {
      if (this.saves.unsaved) e.preventDefault();
    });
    for (const way of ["undo", "redo"] as const) {
      document.getElementById(way)?.addEventListener("click", () => void this.move(way).catch(complain));
    }
    document.addEventListener("keydown", (e) => {
      if (!(e.ctrlKey || e.metaKey) || e.altKey || (e.target instanceof Element && e.target.closest("input, textarea, .editor"))) return;
      const key = e.key.toLowerCase();
      if (key !== "z" && key !== "y") return;
      e.preventDefault();
      void this.move(key === "y" || e.shiftKey ? "redo" : "undo").catch(complain);
    });
    this.buttons();
  }

  get state(): State {
    return this.saves.state;
  }

  save(change: Change, why: string): Promise<void> {
    return this.saves.save(change, why);
  }

  private move(way: "undo" | "redo"): Promise<void> {
    return this.saves.move(way, (base) => ask<State>(`/items/${this.state.id}/${way}`, { base } satisfies AskedStep));
  }

  private buttons(): void {
    const set = (id: string, on: boolean): void => {
      const b = document.getElementById(id);
      if (b instanceof HTMLButtonElement) b.disabled = !on;
    };
    set("undo", this.state.canUndo);
    set("redo", this.state.canRedo);
  }
}
