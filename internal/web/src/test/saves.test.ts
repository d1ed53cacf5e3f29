import assert from "node:assert/strict";
import test from "node:test";

import { Saves, type Save, type State } from "../saves";

const first: State = { id: "t", revision: 1, title: "One", body: "a", extra: {}, canUndo: false, canRedo: false };

/** A program that keeps what is sent, and refuses while it is away. */
class Program {
  sent: Save[] = [];
  away = false;
  state = first;

  async save(s: Save): Promise<State> {
    this.sent.push(s);
    await Promise.resolve();
    if (this.away) throw new Error("away");
    if (s.base !== this.state.revision) throw new Error(`made from ${s.base}, and ${this.state.revision} is there`);
    const { base, why: _, ...change } = s;
    this.state = { ...this.state, ...change, revision: base + 1, canUndo: true };
    return this.state;
  }
}

function opened(): { program: Program; saves: Saves; told: number[] } {
  const program = new Program();
  const told: number[] = [];
  return { program, told, saves: new Saves(first, (s) => program.save(s), (s) => told.push(s.revision)) };
}

test("saves follow one another, each from the revision before", async () => {
  const { program, saves, told } = opened();
  void saves.save({ body: "b" }, "one");
  await saves.save({ title: "Two" }, "two");
  assert.deepEqual(program.sent.map((s) => s.base), program.sent.map((_, i) => i + 1));
  assert.equal(program.state.body + program.state.title, "bTwo");
  assert.deepEqual(told, program.sent.map((_, i) => i + 2));
  assert.equal(saves.unsaved, false);
});

test("nothing changed is no save", async () => {
  const { program, saves } = opened();
  await saves.save({ body: "a", extra: {} }, "same");
  assert.equal(program.sent.length, 0);
});

test("what is changed while a save is under way goes into the next", async () => {
  const { program, saves } = opened();
  const one = saves.save({ body: "b" }, "one");
  await Promise.resolve();
  await Promise.resolve();
  const two = saves.save({ body: "c" }, "two");
  const three = saves.save({ body: "a" }, "back again");
  await Promise.all([one, two, three]);
  assert.equal(program.state.body, "a");
});

test("what could not be saved goes with the next change", async () => {
  const { program, saves } = opened();
  program.away = true;
  await assert.rejects(saves.save({ body: "b" }, "one"), /away/);
  assert(saves.unsaved);
  program.away = false;
  await saves.save({ title: "Two" }, "two");
  assert.equal(program.state.body + program.state.title, "bTwo");
  assert.equal(saves.unsaved, false);
});

test("the same change again is tried again", async () => {
  const { program, saves } = opened();
  program.away = true;
  await assert.rejects(saves.save({ body: "b" }, "one"), /away/);
  program.away = false;
  await saves.save({ body: "b" }, "one");
  assert.equal(program.state.body, "b");
  assert.equal(saves.unsaved, false);
});

test("undo waits for the saves before it", async () => {
  const { saves, program } = opened();
  void saves.save({ body: "b" }, "one");
  await saves.move("undo", async (base) => {
    assert.equal(base, 2);
    return { ...first, revision: 3 };
  });
  assert.equal(saves.state.body, "a");
  assert.equal(program.sent.length, 1);
});

test("nothing is asked past either end of the revisions", async () => {
  const { saves, told } = opened();
  for (const way of ["undo", "redo"] as const) await saves.move(way, () => Promise.reject(new Error(way)));
  assert.deepEqual(told, []);

  // What waits before it counts: a change can be undone, then done again, each once.
  const asked: string[] = [];
  const step = (way: "undo" | "redo"): Promise<void> =>
    saves.move(way, async (base) => {
      asked.push(way);
      return { ...first, revision: base + 1, canUndo: way === "redo", canRedo: way === "undo" };
    });
  void saves.save({ body: "b" }, "one");
  await Promise.all((["redo", "undo", "undo", "redo", "redo"] as const).map(step));
  assert.deepEqual(asked, ["undo", "redo"]);
});
