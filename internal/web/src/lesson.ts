// The page that a student opens from disk: one tune on one or several rigs, to
// read, hear, loop and slow down. It uses no network; the instrument, speed and
// loop that were chosen stand in its address and are kept on the device.

import { Choices } from "./lessonchoices";
import { Cursor } from "./cursor";
import { need } from "./dom";
import { littleRoom, NeckPicture } from "./neck";
import type { Tab } from "./forms";
import { Player } from "./player";
import { touch } from "./touch";
import { Transport } from "./transport";

const parts = JSON.parse(need("#lesson").textContent ?? "[]") as Tab[];
const sections = [...document.querySelectorAll<HTMLElement>("section.rig")];
const buttons = [...document.querySelectorAll<HTMLButtonElement>(".rig-choice button")];
const holder = document.querySelector<HTMLElement>(".player");

/** The compressed sound that stands in the page as base64. */
function soundOf(i: number): ArrayBuffer | null {
  const text = document.getElementById(`sound-${i}`)?.textContent?.trim();
  if (!text) return null;
  const raw = atob(text);
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
    note.hidden = true;
    transport.use(p);
    try {
      await player.use(p, soundOf(i));
    } catch {
      note.textContent = "This browser can't play the sound kept in the page: the steel moves, and the clicks sound. The sound files beside the page play everywhere.";
      note.hidden = false;
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
