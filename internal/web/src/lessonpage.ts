// One lesson: its tune, its instruments, the teacher's words; the zip and its
// progress.

import { need } from "./dom";
import { seeSheets } from "./preview";
import type { LessonJob, LessonPlan, Progress } from "./forms";
import type { State } from "./saves";
import { ask, complain, Keeper, readState, tell } from "./site";

export function lessonPage(): void {
  const state = need<HTMLElement>("#save-state");
  const title = need<HTMLInputElement>("#title");
  const tune = need<HTMLSelectElement>("#tune");
  const words = need<HTMLTextAreaElement>("#words");
  const paper = need<HTMLSelectElement>("#paper");
  const layout = need<HTMLSelectElement>("#layout");
  const backup = need<HTMLInputElement>("#backup");
  const low = need<HTMLInputElement>("#low");
  const left = need<HTMLInputElement>("#left");
  const usual = layout.options[0]!.value;
  const form = need<HTMLFormElement>("#lesson-form");
  const boxes = [...form.querySelectorAll<HTMLInputElement>("input[name=rig]")];
  const download = need<HTMLButtonElement>("#download");
  const hosted = need<HTMLButtonElement>("#hosted");

  /** Why what is on the page waits to be kept; "" when nothing waits. */
  let waits = "";
  /** How many saves are on their way. */
  let sending = 0;
  const keeper = new Keeper(readState(), (s: State) => {
    const b = JSON.parse(s.body) as LessonPlan;
    need("#lesson-title").textContent = s.title;
    if (document.activeElement !== title) title.value = s.title;
    if (document.activeElement !== words) words.value = b.words;
    tune.value = b.tune;
    paper.value = b.paper ?? "";
    backup.checked = b.backup === true;
    low.checked = b.stringOneLow === true;
    left.checked = b.leftHanded === true;
    layout.value = b.layout ?? usual;
    // An answer to an earlier choice says nothing of those made since.
    if (sending + (waits ? 1 : 0) <= 1) for (const box of boxes) box.checked = b.rigs.includes(box.value);
    ready();
  });

  function body(): LessonPlan {
    return { tune: tune.value, rigs: boxes.filter((b) => b.checked).map((b) => b.value), words: words.value, ...(paper.value ? { paper: paper.value } : {}), ...(layout.value === usual ? {} : { layout: layout.value }), ...(backup.checked ? { backup: true } : {}), ...(low.checked ? { stringOneLow: true } : {}), ...(left.checked ? { leftHanded: true } : {}) };
  }

  function ready(): void {
    const any = boxes.some((b) => b.checked);
    download.disabled = hosted.disabled = !any;
    for (const id of ["preview", "handout", "keep"]) need(`#${id}`).toggleAttribute("hidden", !any);
    if (!any) state.textContent = "Tick at least one instrument.";
  }

  let pause = 0;
  let keeping = Promise.resolve();
  function keep(why: string, soon: boolean): void {
    window.clearTimeout(pause);
    state.textContent = "Keeping…";
    waits = why;
    pause = window.setTimeout(() => void keepNow(), soon ? 0 : 600);
  }

  /** Keeps what waits, and is over when all is kept. */
  function keepNow(): Promise<void> {
    window.clearTimeout(pause);
    const why = waits;
    waits = "";
    if (!why) return keeping;
    if (!title.value.trim()) {
      state.textContent = "A lesson needs a title.";
      return keeping;
    }
    sending++;
    keeping = keeper.save({ title: title.value, body: JSON.stringify(body()) }, why).then(
      () => {
        state.textContent = `Kept as revision ${keeper.state.revision}.`;
        ready();
      },
      (e: unknown) => {
        state.textContent = "Not kept; your words are still here.";
        complain(e);
      },
    ).finally(() => sending--);
    return keeping;
  }

  title.addEventListener("input", () => keep("title changed", false));
  words.addEventListener("input", () => keep("words changed", false));
  for (const e of [tune, paper, layout, backup, low, left, ...boxes]) e.addEventListener("change", () => keep("choice changed", true));
  need("#see-sheet").addEventListener("click", () => {
    // The instruments' sheets are laid out alike: the first that is ticked stands for all.
    const rig = boxes.find((b) => b.checked) ?? boxes[0]!;
    seeSheets((query) => `/tunes/${tune.value}/sheet?${new URLSearchParams({ rig: rig.value, ...query })}`);
  });
  form.addEventListener("submit", (e) => e.preventDefault());
  download.addEventListener("click", () => void make("zip").catch(complain));
  hosted.addEventListener("click", () => void make("hosted").catch(complain));
  // As links they give the same without a script, and without telling how far they are.
  for (const [id, what] of [["handout", "handout"], ["keep", "page"]] as const) {
    need(`#${id}`).addEventListener("click", (e) => {
      e.preventDefault();
      make(what).catch(complain);
    });
  }

  async function make(thing: "zip" | "hosted" | "handout" | "page"): Promise<void> {
    const box = need<HTMLElement>("#progress");
    const bar = need<HTMLProgressElement>("#bar");
    const what = need<HTMLElement>("#progress-what");
    download.disabled = hosted.disabled = true;
    try {
      await keepNow(); // what is made is what the page shows
      const job = await ask<LessonJob>(`/lessons/${keeper.state.id}/make/${thing}`, {});
      box.hidden = false;
      bar.value = 0;
      const cancel = need<HTMLButtonElement>("#cancel");
      cancel.onclick = () => void ask(job.cancel, {}).catch(complain);
      await follow(job.progress, (p) => {
        what.textContent = p.what;
        bar.value = p.total ? p.done / p.total : 0;
      });
      window.location.href = job.file;
      if (job.asleep.length) tell(`Pins asleep: ${job.asleep.join("; ")}.`, true);
    } finally {
      box.hidden = true;
      ready();
    }
  }
  ready();
}

/** Follows work until it is ready; what went wrong is thrown. */
function follow(path: string, tell: (p: Progress) => void): Promise<void> {
  return new Promise((resolve, reject) => {
    const events = new EventSource(path);
    events.onmessage = (e: MessageEvent<string>) => {
      const p = JSON.parse(e.data) as Progress;
      tell(p);
      if (!p.ready && !p.error) return;
      events.close();
      if (p.error) reject(new Error(p.error));
      else resolve();
    };
    events.onerror = () => {
      events.close();
      reject(new Error("The work can't be followed any more. Try again."));
    };
  });
}
