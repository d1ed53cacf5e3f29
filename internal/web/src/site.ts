// Talking to the program: requests, notices, and saves that are never lost.

import { h, need } from "./dom";

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

/** What the page knows of the item that it edits. */
export interface State {
  id: string;
  revision: number;
  title: string;
  body: string;
  extra: Record<string, unknown>;
  canUndo: boolean;
  canRedo: boolean;
}

export function readState<T extends State>(): T {
  return JSON.parse(need("#state").textContent ?? "{}") as T;
}

/**
 * Saves one item, one save after another: a change made while a save is under
 * way goes into the next. onState is told each new revision.
 */
export class Keeper {
  private busy: Promise<void> = Promise.resolve();
  private waiting: { change: Partial<Pick<State, "title" | "body" | "extra">>; why: string } | null = null;

  constructor(
    public state: State,
    private readonly onState: (s: State) => void,
  ) {
    window.addEventListener("beforeunload", (e) => {
      if (this.waiting) e.preventDefault();
    });
    for (const move of ["undo", "redo"] as const) {
      document.getElementById(move)?.addEventListener("click", () => void this.move(move).catch(complain));
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

  save(change: Partial<Pick<State, "title" | "body" | "extra">>, why: string): Promise<void> {
    const before = { ...this.state, ...this.waiting?.change };
    if ((Object.keys(change) as (keyof typeof change)[]).every((k) => JSON.stringify(change[k]) === JSON.stringify(before[k]))) return this.busy;
    this.waiting = { change: { ...this.waiting?.change, ...change }, why };
    this.busy = this.busy.catch(() => {}).then(() => this.flush());
    return this.busy;
  }

  private async flush(): Promise<void> {
    const next = this.waiting;
    if (!next) return;
    const state = await ask<State>(`/items/${this.state.id}/save`, { base: this.state.revision, why: next.why, ...next.change });
    if (this.waiting === next) this.waiting = null;
    this.took(state);
  }

  private async move(way: "undo" | "redo"): Promise<void> {
    await this.busy.catch(() => {});
    this.took(await ask<State>(`/items/${this.state.id}/${way}`, { base: this.state.revision }));
  }

  private took(state: State): void {
    this.state = state;
    this.buttons();
    this.onState(state);
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
