// The workbench for one tune: its sheet on one or two rigs, its sound, its text.

import { Cursor } from "./cursor";
import { h, need } from "./dom";
import type { Editor, Said } from "./editor";
import { NeckPicture, pretty } from "./neck";
import type { Part } from "./part";
import { Player } from "./player";
import { ask, complain, Keeper, readState, tell, type State } from "./site";
import { Transport } from "./transport";

interface Pin {
  bar: number;
  at: string;
  grip: [number, number][];
  benders?: number;
  words: string;
  whole?: boolean;
  /** The key, octave and capo that it was made in and holds in. */
  in?: { semitones: number; capo: number };
}

interface Wishes {
  key?: string;
  octave?: number | null;
  level?: string;
  harmony?: string;
  capo?: number | null;
  closed?: boolean;
  square?: boolean;
  vibrato?: boolean;
  pins?: Pin[];
}

/** Whether two pins fix the same moment in the same key, octave and capo. */
function samePlace(a: Pin, b: Pin): boolean {
  const elsewhere = a.in && b.in && (a.in.semitones !== b.in.semitones || a.in.capo !== b.in.capo);
  return a.bar === b.bar && a.at === b.at && !elsewhere;
}

interface Choice {
  words: string;
  extra: number;
  now: boolean;
  pin: Pin;
}

interface TuneExtra {
  rig?: string;
  beside?: string;
  tempo?: number;
  wishes?: Record<string, Wishes>;
}

interface Compromise {
  bar: number;
  at: string;
  wanted: string;
  got: string;
  why: string;
}

interface About {
  rig: string;
  title: string;
  tuning: string;
  key: string;
  transposed: number;
  capo?: number;
  harmony?: string;
  lowFret: number;
  highFret: number;
  slants: number;
  difficulty: number;
  compromises: Compromise[];
}

interface Answer {
  /** The tune has no notes yet: only the neck is shown. */
  blank?: boolean;
  /** The revision that is shown. */
  revision?: number;
  /** Why it is not the one that was asked for. */
  trouble?: string;
  shown: Part;
  pages: string[];
  narrow: string;
  about: About;
}

export function bench(): void {
  const first = readState();
  let extra = first.extra as TuneExtra;
  const rig = need<HTMLSelectElement>("#rig");
  const beside = need<HTMLSelectElement>("#beside");
  const key = need<HTMLSelectElement>("#key");
  const octave = need<HTMLSelectElement>("#octave");
  const tempo = need<HTMLInputElement>("#tempo");
  const level = need<HTMLSelectElement>("#level");
  const harmony = need<HTMLSelectElement>("#harmony");
  const capo = need<HTMLSelectElement>("#capo");
  const ticks = { closed: "open strings", square: "slants", vibrato: "vibrato" } as const;
  const layout = need<HTMLSelectElement>("#layout");
  const paper = need<HTMLSelectElement>("#paper");
  const writing = need<HTMLInputElement>("#writing");
  const sheets = [...document.querySelectorAll<HTMLElement>(".shown-tab")];
  const about = need<HTMLElement>("#about");
  const cursors: (Cursor | null)[] = [null, null];
  let neck: NeckPicture | null = null;
  let answer: Answer | null = null;
  /** What the shown sheet's sound, files and choices are asked for with. */
  const shownRevision = (): number => answer?.revision ?? keeper.state.revision;
  let editor: Editor | null = null;
  let asking = new AbortController();
  let offering = new AbortController();
  let offered: Choice[] = [];
  let picked = -1;
  /** The tab as it was typed last, and what keeping it would change. */
  let typed: { text: string; change: { body: string; extra: Record<string, unknown> } | null } = { text: "", change: null };
  let settling = 0;
  const hereBody = need<HTMLElement>("#here-body");
  if (window.matchMedia("(max-width: 48rem)").matches) need<HTMLDetailsElement>("#setting").open = false;

  const empty: Part = { rig: "", title: "", timing: { countIn: 0, end: 0, total: 0, bars: [], strokes: [], clicks: [], steel: [] }, strokes: [], neck: { open: [], frets: 0 } };
  const player = new Player(empty);
  const transport = new Transport(player, (at) => {
    for (const c of cursors) c?.show(at, player.playing && c === cursors[0]);
    neck?.show(at);
  });
  const neckPlace = h("div", { class: "neck-place" });
  need("[data-player]").append(transport.element, neckPlace);

  const keeper = new Keeper(first, (s: State) => {
    extra = s.extra as TuneExtra;
    if (writtenAs.value === "abc") editor?.replace(s.body);
    else if (editor && s.body !== typed.change?.body) tabText().then((text) => editor?.replace(text), complain);
    need("h1").textContent = s.title;
    controls();
    void show();
  });

  /** The name that the chosen rig's tabs go by. */
  const rigName = (): string => rig.selectedOptions[0]?.dataset["name"] ?? "";
  const wishes = (): Wishes => extra.wishes?.[rigName()] ?? {};

  function controls(): void {
    if (extra.rig) rig.value = extra.rig;
    beside.value = extra.beside ?? "";
    key.value = wishes().key ?? "";
    octave.value = wishes().octave === undefined || wishes().octave === null ? "" : String(wishes().octave);
    level.value = wishes().level ?? "";
    tempo.value = extra.tempo ? String(extra.tempo) : "";
    harmony.value = wishes().harmony ?? "";
    for (const t of Object.keys(ticks) as (keyof typeof ticks)[]) need<HTMLInputElement>(`#${t}`).checked = wishes()[t] === true;
    const highest = Number(rig.selectedOptions[0]?.dataset["capo"] ?? 0);
    capo.replaceChildren(h("option", { value: "" }, "where it plays best"), ...Array.from({ length: highest + 1 }, (_, f) => h("option", { value: f }, f ? `fret ${f}` : "off")));
    capo.value = String(wishes().capo ?? "");
    capo.closest("label")!.hidden = highest === 0;
  }

  function keep(change: Partial<TuneExtra>, why: string): void {
    extra = { ...extra, ...change };
    keeper.save({ extra: extra as Record<string, unknown> }, why).catch(complain);
  }

  function wish(change: Wishes, why: string): void {
    const name = rigName();
    const mine: Record<string, unknown> = { ...wishes(), ...change };
    for (const k of Object.keys(mine)) if (mine[k] === "" || mine[k] === null || mine[k] === false || (Array.isArray(mine[k]) && mine[k].length === 0)) delete mine[k];
    keep({ wishes: { ...extra.wishes, [name]: mine as Wishes } }, why);
  }

  rig.addEventListener("change", () => keep({ rig: rig.value }, `shown on ${chosen(rig)}`));
  beside.addEventListener("change", () => keep({ beside: beside.value }, `${chosen(beside)} beside it`));
  key.addEventListener("change", () => wish({ key: key.value }, key.value ? `moved to ${key.value}` : "key left free"));
  octave.addEventListener("change", () => wish({ octave: octave.value === "" ? null : Number(octave.value) }, "octave changed"));
  level.addEventListener("change", () => wish({ level: level.value }, `for a ${chosen(level)} player`));
  harmony.addEventListener("change", () => wish({ harmony: harmony.value }, harmony.value ? `harmony: ${chosen(harmony)}` : "no harmony"));
  capo.addEventListener("change", () => wish({ capo: capo.value === "" ? null : Number(capo.value) }, "capo changed"));
  for (const t of Object.keys(ticks) as (keyof typeof ticks)[]) {
    const box = need<HTMLInputElement>(`#${t}`);
    box.addEventListener("change", () => wish({ [t]: box.checked }, (t === "vibrato") === box.checked ? `with ${ticks[t]}` : `without ${ticks[t]}`));
  }
  tempo.addEventListener("change", () => {
    if (tempo.checkValidity()) keep({ tempo: Number(tempo.value) || 0 }, "tempo changed");
  });

  /** Shows the tune on the chosen rigs as it is now. */
  async function show(): Promise<void> {
    asking.abort();
    asking = new AbortController();
    const signal = asking.signal;
    const place = async (i: number, ref: string): Promise<Answer | null> => {
      const section = sheets[i]!;
      section.hidden = ref === "";
      if (ref === "") return null;
      const query = `rig=${encodeURIComponent(ref)}&revision=${keeper.state.revision}`;
      try {
        const got = await ask<Answer>(`/tunes/${first.id}/shown?${query}`, undefined, signal);
        draw(i, got);
        reason(section, got.trouble);
        return got;
      } catch (e) {
        if (!signal.aborted) reason(section, e instanceof Error ? e.message : String(e));
        return null;
      }
    };
    try {
      const [main] = await Promise.all([place(0, rig.value), place(1, beside.value)]);
      if (!main || signal.aborted) return;
      answer = main;
      layNeck();
      transport.use(main.shown);
      describe(main);
      links();
      if (main.blank) {
        beginOnNeck();
        controls();
        return;
      }
      void tellWords().catch(complain);
      controls();
      if (picked >= 0) void offer(Math.min(picked, main.shown.strokes.length - 1)).catch(complain);
      await listen(main, signal);
    } catch (e) {
      if (!signal.aborted) complain(e);
    }
  }

  /** Says above a sheet why it is not what was asked for; a good sheet stays. */
  function reason(section: HTMLElement, why: string | undefined): void {
    section.querySelector(".alarm")?.remove();
    if (!why) return;
    section.querySelector(".waiting:only-child")?.remove();
    section.prepend(h("p", { class: "alarm", role: "alert" }, why));
  }

  /** Draws the neck; who writes on it needs more of it than who plays. */
  function layNeck(): void {
    if (!answer) return;
    neck = new NeckPicture(answer.shown, writing.checked ? 15 : 7);
    neck.onTouch = touched;
    neckPlace.replaceChildren(neck.element);
  }

  const touching = need<HTMLElement>(".touching");
  writing.addEventListener("change", layNeck);

  /** Brings what is needed for writing on the neck next to it. */
  function beginOnNeck(): void {
    if (!touching.classList.contains("by-neck")) {
      touching.classList.add("by-neck");
      writing.checked = true;
      neckPlace.after(touching);
    }
    layNeck();
  }

  async function listen(main: Answer, signal: AbortSignal): Promise<void> {
    const res = await fetch(`/tunes/${first.id}/sound?rig=${encodeURIComponent(rig.value)}&revision=${shownRevision()}`, { signal });
    if (!res.ok) return complain(new Error("The sound could not be made; the sheet is right all the same."));
    const sound = await res.arrayBuffer();
    if (!signal.aborted) await player.use(main.shown, sound);
  }

  function draw(i: number, a: Answer): void {
    const section = sheets[i]!;
    if (a.blank) {
      cursors[i] = null;
      section.replaceChildren(h("p", { class: "soft waiting", role: "status" }, "No notes yet. Touch a string at a fret on the neck above: each touch adds a note."));
      return;
    }
    // The program's own drawing, in which every word from a file is escaped.
    const paper = (svg: string): HTMLElement => {
      const div = h("div", { class: "paper" });
      div.innerHTML = svg;
      return div;
    };
    section.replaceChildren(
      ...(beside.value ? [h("h2", {}, a.about.title)] : []),
      h("div", { class: "wide-sheet" }, ...a.pages.map(paper)),
      h("div", { class: "narrow-sheet" }, paper(a.narrow)),
    );
    const cursor = new Cursor(a.shown, section);
    cursors[i] = cursor;
    section.onclick = (e) => {
      const group = e.target instanceof Element ? e.target.closest<SVGGElement>("[data-stroke]") : null;
      if (group) pick(i, Number(group.dataset["stroke"]));
    };
    section.onkeydown = (e) => {
      if (e.key !== "ArrowLeft" && e.key !== "ArrowRight") return;
      e.preventDefault();
      e.stopPropagation();
      const last = a.shown.strokes.length - 1;
      const to = picked < 0 ? 0 : Math.max(0, Math.min(last, picked + (e.key === "ArrowLeft" ? -1 : 1)));
      pick(i, to);
    };
    if (i === 0 && picked >= 0 && picked < a.shown.strokes.length) cursor.pick(picked);
  }

  /** Goes to a stroke: it is marked, the sound is set to it, and what else could be played there is listed. */
  function pick(i: number, n: number): void {
    picked = n;
    for (const [k, c] of cursors.entries()) c?.pick(k === i ? n : -1);
    const time = answer?.shown.timing.strokes.find((s) => s.stroke === n);
    if (time && i === 0) player.seek(time.at);
    if (i !== 0) return;
    window.clearTimeout(settling);
    settling = window.setTimeout(() => void offer(n).catch(complain), 120);
  }

  /** Lists what else could be played at a stroke. */
  async function offer(n: number): Promise<void> {
    const stroke = answer?.shown.strokes[n];
    if (!stroke) return;
    offering.abort();
    offering = new AbortController();
    const signal = offering.signal;
    const query = `rig=${encodeURIComponent(rig.value)}&revision=${shownRevision()}&stroke=${n}`;
    const got = await ask<{ bar: number; at: string; choices: Choice[] }>(`/tunes/${first.id}/choices?${query}`, undefined, signal);
    if (signal.aborted) return;
    offered = got.choices;
    const sounds = stroke.plucks.map((p) => `${pretty(p.sounds)} on string ${p.string} at fret ${p.fret}`).join(", ") || "nothing";
    const list = got.choices.map((c) =>
      h("li", {}, h("button", { type: "button", "aria-pressed": String(c.now), onclick: () => pin(c) }, h("span", {}, c.words), h("span", { class: "tabular soft" }, c.now ? "cheapest" : `+${c.extra.toFixed(1)}`))),
    );
    // Who works by keyboard stays where they were in the list.
    const held = [...hereBody.querySelectorAll("button")].findIndex((b) => b === document.activeElement);
    hereBody.replaceChildren(
      h("p", { role: "status" }, h("strong", {}, `Bar ${got.bar}${got.at === "0" ? "" : `, ${got.at} in`}: `), sounds),
      got.choices.length > 1 ? h("ul", { class: "choices", "aria-label": "What could be played here, and what the whole then costs more" }, ...list) : h("p", { class: "small soft" }, "There is no other way to play this."),
      pinList(),
    );
    const buttons = [...hereBody.querySelectorAll("button")];
    if (held >= 0) buttons[Math.min(held, buttons.length - 1)]?.focus();
  }

  function pin(c: Choice): void {
    const others = (wishes().pins ?? []).filter((p) => !samePlace(p, c.pin));
    wish({ pins: c.now ? others : [...others, c.pin] }, c.now ? `bar ${c.pin.bar} left free` : `${c.words} pinned in bar ${c.pin.bar}`);
  }

  function pinList(): HTMLElement {
    const pins = wishes().pins ?? [];
    if (pins.length > 6) {
      return h("ul", { class: "pins" }, h("li", {}, h("span", {}, `${pins.length} places are pinned`), h("button", { type: "button", onclick: () => wish({ pins: [] }, "all pins freed") }, "Free them all")));
    }
    return h("ul", { class: "pins" }, ...pins.map((p) =>
      h("li", {}, h("span", {}, `Pinned in bar ${p.bar}: ${p.words}`),
        h("button", { type: "button", onclick: () => wish({ pins: pins.filter((q) => q !== p) }, `bar ${p.bar} left free`) }, "Free it")),
    ));
  }

  /** Touching the neck asks for that string and fret at the picked stroke, or writes a note. */
  function touched(string: number, fret: number): void {
    if (writing.checked) {
      const length = need<HTMLSelectElement>("#length").value;
      const higher = Number(need<HTMLSelectElement>("#higher").value);
      ask<{ text: string }>("/tunes/note", { text: editor?.text() ?? keeper.state.body, rig: rig.value, string, fret, length, higher })
        .then((got) => keeper.save({ body: got.text }, `a note on string ${string} at fret ${fret}`))
        .catch(complain);
      return;
    }
    const c = offered.find((o) => o.pin.grip.some(([s, f]) => s === string && f === fret));
    if (picked < 0) tell("Pick a note on the sheet first; then touch where it should be played.");
    else if (c) pin(c);
    else tell(`The picked note can't be played on string ${string} at fret ${fret}.`);
  }

  function describe({ about: a, blank }: Answer): void {
    if (blank) {
      about.replaceChildren(h("h2", {}, a.title), h("dl", { class: "facts" }, ...[["Tuning", a.tuning], ...(a.capo ? [["Capo", `fret ${a.capo}`]] : []), ["Key", a.key]].flatMap(([k, v]) => [h("dt", {}, k!), h("dd", {}, v!)])));
      return;
    }
    const facts: [string, string][] = [
      ["Tuning", a.tuning],
      ["Key", a.key + (a.transposed ? ` (${a.transposed > 0 ? "up" : "down"} ${Math.abs(a.transposed)})` : "")],
      ...(a.capo ? [["Capo", `fret ${a.capo}`] as [string, string]] : []),
      ["Frets", a.highFret ? `${a.lowFret} to ${a.highFret}` : "open strings"],
      ["Slants", String(a.slants)],
      ["Difficulty", `${a.difficulty.toFixed(1)} of 10`],
    ];
    about.replaceChildren(
      h("h2", {}, a.title),
      h("dl", { class: "facts" }, ...facts.flatMap(([k, v]) => [h("dt", {}, k), h("dd", {}, v)])),
      a.harmony ? h("p", { class: "small" }, `${a.harmony.charAt(0).toUpperCase()}${a.harmony.slice(1)}.`) : "",
      a.compromises.length
        ? h("div", {},
            h("h3", {}, `${a.compromises.length} compromise${a.compromises.length > 1 ? "s" : ""}`),
            h("ul", { class: "compromises", tabindex: "0", "aria-label": "Compromises" }, ...a.compromises.map((c) => h("li", {}, `Bar ${c.bar}${c.at === "0" ? "" : `, ${c.at} in`}: ${c.wanted} is written, ${c.got} sounds. ${c.why}`))))
        : h("p", { class: "small soft" }, "Everything sounds exactly as written."),
    );
  }

  function links(): void {
    for (const a of document.querySelectorAll<HTMLAnchorElement>("a[data-file]")) {
      const query = new URLSearchParams({ rig: rig.value, revision: String(shownRevision()), layout: layout.value, paper: paper.value });
      a.href = `/tunes/${first.id}/file/${a.dataset["file"]}?${query}`;
    }
    need<HTMLInputElement>("[data-current-rig]").value = rig.value;
  }

  const panel = need<HTMLDetailsElement>("#text-panel");
  const writtenAs = need<HTMLSelectElement>("#written-as");
  panel.addEventListener("toggle", () => {
    if (panel.open && !editor) openText().catch(complain);
  });
  writtenAs.addEventListener("change", () => openText().catch(complain));

  async function tabText(): Promise<string> {
    const query = new URLSearchParams({ rig: rig.value, revision: String(keeper.state.revision) });
    const res = await fetch(`/tunes/${first.id}/file/tab.txt?${query}`);
    if (!res.ok) throw new Error("The tab could not be written as text.");
    return res.text();
  }

  /** Opens the editor on the tune's text, or on its tab for the rig that is shown. */
  async function openText(): Promise<void> {
    need("#editor").replaceChildren();
    editor = null;
    if (writtenAs.value === "abc") {
      editor = await openEditor({ language: "abc", label: "The tune as ABC", text: keeper.state.body, check: checkAt("/tunes/check"), save: (text) => ({ body: text }) }, keeper);
      return;
    }
    typed = { text: await tabText(), change: null };
    editor = await openEditor(
      {
        language: "tab",
        label: "The tab as text",
        text: typed.text,
        check: async (text) => {
          const got = await ask<{ said: Said[] | null; body?: string; wishes?: Wishes; name?: string }>("/tunes/tab", { text, rig: rig.value });
          typed = { text, change: got.body && got.name ? { body: got.body, extra: { ...extra, wishes: { ...extra.wishes, [got.name]: got.wishes ?? {} } } as Record<string, unknown> } : null };
          return got.said ?? [];
        },
        save: (text) => (typed.text === text ? typed.change : null),
      },
      keeper,
    );
  }

  for (const e of [layout, paper]) e.addEventListener("change", links);

  const told = need<HTMLElement>("#told");
  const wordsPanel = need<HTMLDetailsElement>("#words-panel");
  wordsPanel.addEventListener("toggle", () => void tellWords().catch(complain));
  async function tellWords(): Promise<void> {
    if (!wordsPanel.open) return;
    const got = await ask<{ words: string }>(`/tunes/${first.id}/words?rig=${encodeURIComponent(rig.value)}&revision=${shownRevision()}`);
    told.replaceChildren(...got.words.trim().split("\n").map((line) => h("p", {}, line)));
  }

  const rankPanel = need<HTMLDetailsElement>("#rank-panel");
  rankPanel.addEventListener("toggle", () => void rankRigs().catch(complain));
  let ranking = new AbortController();
  async function rankRigs(): Promise<void> {
    ranking.abort();
    if (!rankPanel.open) return;
    ranking = new AbortController();
    const got = await ask<{ ranked: { ref: string; title: string; difficulty: number; reasons: string[] | null }[] }>(`/tunes/${first.id}/rank?revision=${keeper.state.revision}`, undefined, ranking.signal);
    need("#ranked").replaceChildren(...got.ranked.map((r) =>
      h("li", {}, h("button", { type: "button", class: "plain", onclick: () => { rig.value = r.ref; rig.dispatchEvent(new Event("change")); } }, r.title),
        h("span", { class: "soft small" }, ` ${r.difficulty.toFixed(1)} of 10. ${(r.reasons ?? []).join("; ")}`))));
  }

  controls();
  if (new URLSearchParams(window.location.search).get("write") === "neck") beginOnNeck();
  void show();
}

function chosen(s: HTMLSelectElement): string {
  return s.selectedOptions[0]?.textContent ?? "";
}

export interface Opening {
  language: "abc" | "tab" | "toml";
  label: string;
  text: string;
  readOnly?: boolean;
  check: (text: string) => Promise<Said[]>;
  /** What a readable text changes in the item; null when it changes nothing. */
  save: (text: string) => Partial<Pick<State, "body" | "extra">> | null;
}

/** A check that asks the program at a path. */
export function checkAt(path: string, seen?: (answer: unknown) => void): (text: string) => Promise<Said[]> {
  return async (text) => {
    const answer = await ask<{ said: Said[] }>(path, { text });
    seen?.(answer);
    return answer.said;
  };
}

/** Opens the editor; readable text is saved as it changes. */
export async function openEditor(o: Opening, keeper: Keeper): Promise<Editor> {
  const module = (await import(document.body.dataset["editor"]!)) as typeof import("./editor");
  const state = need<HTMLElement>("#editor-state");
  let last = o.text;
  return module.open({
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
  });
}
