// The page that a student opens from disk: one tune on one or several rigs, to
// read, hear, loop and slow down. It uses no network; the instrument, speed and
// loop that were chosen stand in its address and are kept on the device.

import { Choices } from "./lessonchoices";
import { Cursor } from "./cursor";
import { need } from "./dom";
import { littleRoom, NeckPicture } from "./neck";
import type { Tab } from "./forms";
import { Player } from "./player";
import { barByBar, tellOnce, tuneUp } from "./lessonhelp";
import { touch } from "./touch";
import { Transport } from "./transport";

const parts = JSON.parse(need("#lesson").textContent ?? "[]") as Tab[];
const sections = [...document.querySelectorAll<HTMLElement>("section.rig")];
const buttons = [...document.querySelectorAll<HTMLButtonElement>(".rig-choice button")];
const list = document.querySelector<HTMLSelectElement>(".rig-choice select");
const help = need<HTMLElement>(".help");
const holder = document.querySelector<HTMLElement>(".player");

/** How long music waits for its sound before it moves without. */
const patienceMs = 1500;
/** How often the rest of the page is looked for. */
const lookMs = 100;

/**
 * The compressed sound that stands in the page as base64, behind this script:
 * on a slow line it comes long after the sheets. Null when there is none.
 */
async function soundOf(i: number): Promise<ArrayBuffer | null> {
  if (sections[i]?.dataset["sound"] === undefined) return null;
  for (;;) {
    const held = document.getElementById(`sound-${i}`);
    const whole = document.readyState !== "loading";
    // It is whole when something stands behind it.
    if (held && (whole || held.nextElementSibling)) return decode(held.textContent ?? "");
    if (whole) return null;
    await new Promise((go) => window.setTimeout(go, lookMs));
  }
}

function decode(text: string): ArrayBuffer {
  const raw = atob(text.trim());
  const bytes = new Uint8Array(raw.length);
  for (let k = 0; k < raw.length; k++) bytes[k] = raw.charCodeAt(k);
  return bytes.buffer;
}

const first = parts[0];
if (first && holder) start(first, holder);
else showOnly(0);

function showOnly(i: number): void {
  const choice = document.querySelector<HTMLElement>(".rig-choice");
  if (choice) choice.hidden = false;
  sections.forEach((s, k) => (s.hidden = k !== i));
  buttons.forEach((b, k) => b.setAttribute("aria-pressed", String(k === i)));
  if (list) list.value = String(i);
}

function start(tab: Tab, holder: HTMLElement): void {
  const player = new Player(tab);
  let shown = 0;
  let cursor: Cursor | null = null;
  let neck: NeckPicture | null = null;
  const transport = new Transport(player, (at) => {
    cursor?.show(at, player.playing);
    neck?.show(at);
  });
  const place = document.createElement("div");
  place.className = "neck-place";
  const note = document.createElement("p");
  note.className = "alarm note";
  note.setAttribute("role", "status");
  note.hidden = true;
  holder.append(transport.element, place, note);
  holder.hidden = false;

  const say = (words: string): void => {
    note.textContent = words;
    note.hidden = false;
  };
  player.onSilence = (silent) => {
    if (silent) say("This device gives no sound just now. The steel moves all the same.");
    else note.hidden = true;
  };
  const layNeck = (): void => {
    neck = new NeckPicture(parts[shown]!);
    neck.show(Math.max(0, player.position()));
    place.replaceChildren(neck.element);
  };
  const use = async (i: number): Promise<void> => {
    const p = parts[i];
    const section = sections[i];
    if (!p || !section) return;
    shown = i;
    showOnly(i);
    cursor = new Cursor(p, section);
    layNeck();
    need(".tuning", help).replaceChildren(tuneUp(p));
    note.hidden = true;
    transport.use(p);
    const came = soundOf(i);
    const soon = await Promise.race([came, new Promise<"late">((go) => window.setTimeout(() => go("late"), patienceMs))]);
    if (shown !== i) return;
    try {
      await player.use(p, soon === "late" ? null : soon);
      if (soon !== "late") return;
      say("The sound is still on its way. The steel moves already.");
      const late = await came;
      if (shown !== i) return;
      if (late) await player.bring(late);
      note.hidden = true;
    } catch {
      say(`This browser can't play the sound kept in the page: the steel moves, and the clicks sound.${document.querySelector(".files a") ? " The sound file beside the page plays elsewhere." : ""}`);
    }
  };
  const choose = (i: number): void => {
    void use(i);
    choices.keep(p => ({ ...p, instrument: parts[i]!.rig }));
  };
  const choices = new Choices(need("h1").textContent ?? "");
  transport.onView = layNeck;
  window.matchMedia(littleRoom).addEventListener("change", layNeck);
  transport.onChoice = () => choices.keep((p) => ({ ...p, speed: transport.percent, loop: transport.looped }));
  buttons.forEach((b, i) => b.addEventListener("click", () => choose(i)));
  list?.addEventListener("change", () => choose(Number(list.value)));
  sections.forEach((section, i) => {
    need(".by-bar", section).replaceChildren(...barByBar(parts[i]!, section, player));
    need<HTMLElement>(".by-bar", section).hidden = false;
  });
  tellOnce(help);
  sections.forEach((section, i) =>
    touch(section, parts[i]!, {
      start: (at) => player.seek(at),
      loop: (first, last) => transport.setBars(first, last),
      looping: () => transport.looped,
    }),
  );
  const was = choices.read();
  const at = parts.findIndex((p) => p.rig === was.instrument);
  void use(Math.max(0, at));
  if (was.speed) transport.setSpeed(was.speed);
  if (was.loop) transport.setBars(...was.loop);
}
