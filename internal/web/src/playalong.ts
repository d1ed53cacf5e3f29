// Recording along with the music on the workbench's page of takes: what sounds meanwhile, and from where in the
// take.

import { along } from "./along";
import { DelayMeasure, keptDelay, playAlongBox } from "./delay";
import { h } from "./dom";
import type { Along, Placed } from "./forms";
import { nothing, Player } from "./player";
import { capture, siteCore } from "./program";
import { ask } from "./site";
import { full, slowest, speeds } from "./transport";

/** What a take is of that is recorded along with the music, and what of it sounded. */
export interface PlayedAlong {
  tune: string;
  rig: string;
  revision: number;
  along: Along;
}

export class PlayAlong {
  readonly element: HTMLElement;
  private readonly clicks = h("input", { type: "checkbox" });
  private readonly music = h("input", { type: "checkbox" });
  private readonly speed = h("select", { id: "along-speed" }, ...speeds(slowest, full));
  private readonly player = new Player(nothing);
  private of: Omit<PlayedAlong, "along"> | null = null;

  /** before is done before the delay is measured. */
  constructor(before: () => void) {
    this.speed.value = String(full);
    this.element = playAlongBox(new DelayMeasure(siteCore(), capture(), before),
      h("div", { class: "take-actions" },
        h("label", { class: "pair" }, this.clicks, h("span", {}, "Record along with its clicks")),
        h("label", { class: "pair" }, this.music, h("span", {}, "Record along with the tune")),
        h("label", { class: "pair", for: "along-speed" }, h("span", {}, "Speed"), this.speed)),
      h("p", { class: "small soft" }, "When it records, the tune is counted in first."));
  }

  /** Whether anything is to sound. */
  get wanted(): boolean {
    return this.clicks.checked || this.music.checked;
  }

  /** Brings what is to sound; gives the context that it sounds in, to record in as well. */
  async ready(tune: string, rig: string): Promise<AudioContext> {
    const sounds = this.player.shared(); // while the press of the button counts
    const query = new URLSearchParams({ rig });
    const placed = await ask<Placed>(`/tunes/${tune}/shown?${query}`);
    if (placed.blank || !placed.revision) throw new Error("This tune has no notes yet: there is nothing to play along with.");
    query.set("revision", String(placed.revision));
    const sound = this.music.checked ? await fetch(`/tunes/${tune}/sound?${query}`) : null;
    if (sound && !sound.ok) throw new Error("The sound of this tune could not be made: record along with its clicks alone.");
    await this.player.use(placed.shown, sound && (await sound.arrayBuffer()));
    this.player.seek(0);
    this.player.set({ rate: Number(this.speed.value) / full, countIn: true, click: Number(this.clicks.checked) });
    const context = await sounds;
    if (!context) throw new Error("This device gives no sound just now: there is nothing to play along with.");
    this.of = { tune, rig, revision: placed.revision };
    return context;
  }

  /** Begins to sound. */
  start(): void {
    this.player.play();
  }

  /** Ends what sounds, and says what did since a time of the audio clock; null for nothing. */
  end(first: number | null): PlayedAlong | null {
    const { of } = this;
    if (!of) return null;
    this.of = null;
    const sounded = first === null ? [] : this.player.since(first);
    this.player.pause();
    return sounded.length > 0 ? { ...of, along: along(sounded, keptDelay()) } : null;
  }
}
