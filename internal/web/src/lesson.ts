// The page that a student opens from disk: one tune on one or several rigs, to
// read, hear, loop and slow down. It uses no network and no storage.

import { Cursor } from "./cursor";
import { need } from "./dom";
import { NeckPicture } from "./neck";
import type { Tab } from "./forms";
import { Player } from "./player";
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
if (first && holder && soundOf(0)) start(first, holder);
else showOnly(0);

function showOnly(i: number): void {
  const choice = document.querySelector<HTMLElement>(".rig-choice");
  if (choice) choice.hidden = false;
  sections.forEach((s, k) => (s.hidden = k !== i));
  buttons.forEach((b, k) => b.setAttribute("aria-pressed", String(k === i)));
}

function start(tab: Tab, holder: HTMLElement): void {
  const player = new Player(tab);
  let cursor: Cursor | null = null;
  let neck: NeckPicture | null = null;
  const transport = new Transport(player, (at) => {
    cursor?.show(at, player.playing);
    neck?.show(at);
  });
  const place = document.createElement("div");
  place.className = "neck-place";
  const note = document.createElement("p");
  note.className = "alarm";
  note.setAttribute("role", "status");
  note.hidden = true;
  holder.append(transport.element, place, note);
  holder.hidden = false;

  const use = async (i: number): Promise<void> => {
    const p = parts[i];
    const section = sections[i];
    const sound = soundOf(i);
    if (!p || !section || !sound) return;
    showOnly(i);
    cursor = new Cursor(p, section);
    neck = new NeckPicture(p);
    place.replaceChildren(neck.element);
    note.hidden = true;
    transport.use(p);
    try {
      await player.use(p, sound);
    } catch {
      note.textContent = "This browser can't play the sound kept in the page. The file audio.wav beside it plays everywhere.";
      note.hidden = false;
    }
  };
  buttons.forEach((b, i) => b.addEventListener("click", () => void use(i)));
  void use(0);
}
