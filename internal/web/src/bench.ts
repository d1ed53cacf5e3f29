// The workbench for one tune: its sheet on one or two rigs, its sound, its text.

import { Cursor } from "./cursor";
import { h, need } from "./dom";
import type { Editor, Said } from "./editor";
import { NeckPicture } from "./neck";
import type { Part } from "./part";
import { Player } from "./player";
import { ask, complain, Keeper, readState, type State } from "./site";
import { Transport } from "./transport";

interface Wishes {
  key?: string;
  octave?: number | null;
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
  lowFret: number;
  highFret: number;
  slants: number;
  difficulty: number;
  compromises: Compromise[];
}

interface Answer {
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
  const sheets = [...document.querySelectorAll<HTMLElement>(".shown-tab")];
  const about = need<HTMLElement>("#about");
  const cursors: (Cursor | null)[] = [null, null];
  let neck: NeckPicture | null = null;
  let answer: Answer | null = null;
  let editor: Editor | null = null;
  let asking = new AbortController();

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
    editor?.replace(s.body);
    need("h1").textContent = s.title;
    controls();
    void show();
  });

  const wishes = (): Wishes => extra.wishes?.[answer?.about.rig ?? ""] ?? {};

  function controls(): void {
    if (extra.rig) rig.value = extra.rig;
    beside.value = extra.beside ?? "";
    key.value = wishes().key ?? "";
    octave.value = wishes().octave === undefined || wishes().octave === null ? "" : String(wishes().octave);
    tempo.value = extra.tempo ? String(extra.tempo) : "";
  }

  function keep(change: Partial<TuneExtra>, why: string): void {
    extra = { ...extra, ...change };
    keeper.save({ extra: extra as Record<string, unknown> }, why).catch(complain);
  }

  function wish(change: Wishes, why: string): void {
    const name = answer?.about.rig;
    if (!name) return;
    const mine: Record<string, unknown> = { ...wishes(), ...change };
    for (const k of Object.keys(mine)) if (mine[k] === "" || mine[k] === null) delete mine[k];
    keep({ wishes: { ...extra.wishes, [name]: mine as Wishes } }, why);
  }

  rig.addEventListener("change", () => keep({ rig: rig.value }, `shown on ${chosen(rig)}`));
  beside.addEventListener("change", () => keep({ beside: beside.value }, `${chosen(beside)} beside it`));
  key.addEventListener("change", () => wish({ key: key.value }, key.value ? `moved to ${key.value}` : "key left free"));
  octave.addEventListener("change", () => wish({ octave: octave.value === "" ? null : Number(octave.value) }, "octave changed"));
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
      const got = await ask<Answer>(`/tunes/${first.id}/shown?${query}`, undefined, signal);
      draw(i, got);
      return got;
    };
    try {
      const [main] = await Promise.all([place(0, rig.value), place(1, beside.value)]);
      if (!main || signal.aborted) return;
      answer = main;
      neck = new NeckPicture(main.shown);
      neckPlace.replaceChildren(neck.element);
      transport.use(main.shown);
      describe(main.about);
      links();
      controls();
      await listen(main, signal);
    } catch (e) {
      if (signal.aborted) return;
      sheets[0]!.replaceChildren(h("p", { class: "alarm", role: "alert" }, e instanceof Error ? e.message : String(e)));
    }
  }

  async function listen(main: Answer, signal: AbortSignal): Promise<void> {
    const res = await fetch(`/tunes/${first.id}/sound?rig=${encodeURIComponent(rig.value)}&revision=${keeper.state.revision}`, { signal });
    if (!res.ok) return complain(new Error("The sound could not be made; the sheet is right all the same."));
    const sound = await res.arrayBuffer();
    if (!signal.aborted) await player.use(main.shown, sound);
  }

  function draw(i: number, a: Answer): void {
    const section = sheets[i]!;
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
      const group = e.target instanceof Element ? e.target.closest<SVGGElement>("g.stroke[data-stroke]") : null;
      if (!group) return;
      const n = Number(group.dataset["stroke"]);
      cursor.pick(n);
      const time = a.shown.timing.strokes.find((s) => s.stroke === n);
      if (time) player.seek(time.at);
    };
  }

  function describe(a: About): void {
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
      a.compromises.length
        ? h("div", {},
            h("h3", {}, `${a.compromises.length} compromise${a.compromises.length > 1 ? "s" : ""}`),
            h("ul", { class: "compromises", tabindex: "0", "aria-label": "Compromises" }, ...a.compromises.map((c) => h("li", {}, `Bar ${c.bar}${c.at === "0" ? "" : `, ${c.at} in`}: ${c.wanted} is written, ${c.got} sounds. ${c.why}`))))
        : h("p", { class: "small soft" }, "Everything sounds exactly as written."),
    );
  }

  function links(): void {
    for (const a of document.querySelectorAll<HTMLAnchorElement>("a[data-file]")) {
      a.href = `/tunes/${first.id}/file/${a.dataset["file"]}?rig=${encodeURIComponent(rig.value)}&revision=${keeper.state.revision}`;
    }
    need<HTMLInputElement>("[data-current-rig]").value = rig.value;
  }

  const panel = need<HTMLDetailsElement>("#text-panel");
  panel.addEventListener("toggle", () => {
    if (!panel.open || editor) return;
    openEditor("abc", "The tune as ABC", keeper, false).then((e) => (editor = e), complain);
  });

  controls();
  void show();
}

function chosen(s: HTMLSelectElement): string {
  return s.selectedOptions[0]?.textContent ?? "";
}

/** Opens the editor on the page's item; readable text is saved as it changes. */
export async function openEditor(language: "abc" | "toml", label: string, keeper: Keeper, readOnly: boolean, seen?: (answer: unknown) => void): Promise<Editor> {
  const module = (await import(document.body.dataset["editor"]!)) as typeof import("./editor");
  const state = need<HTMLElement>("#editor-state");
  const path = language === "abc" ? "/tunes/check" : "/rigs/check";
  return module.open({
    parent: need("#editor"),
    text: keeper.state.body,
    language,
    label,
    readOnly,
    check: async (text) => {
      const answer = await ask<{ said: Said[] }>(path, { text });
      seen?.(answer);
      return answer.said;
    },
    changed: (text, readable) => {
      if (text === keeper.state.body) return;
      if (!readable) {
        state.textContent = "Not kept yet: it can't be read as it stands.";
        return;
      }
      state.textContent = "Keeping…";
      keeper.save({ body: text }, "text changed").then(
        () => (state.textContent = `Kept as revision ${keeper.state.revision}.`),
        (e: unknown) => {
          state.textContent = "Not kept.";
          complain(e);
        },
      );
    },
  });
}
