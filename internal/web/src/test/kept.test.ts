import assert from "node:assert/strict";
import test from "node:test";

/** What a browser keeps, here in a list; closed refuses all. */
class Shelf {
  readonly held = new Map<string, string>();
  closed = false;

  getItem(name: string): string | null {
    this.open();
    return this.held.get(name) ?? null;
  }
  setItem(name: string, value: string): void {
    this.open();
    this.held.set(name, value);
  }
  removeItem(name: string): void {
    this.open();
    this.held.delete(name);
  }
  private open(): void {
    if (this.closed) throw new Error("nothing is kept here");
  }
}

const shelf = new Shelf();
const address = { pathname: "/autumn/lesson-1/index.html", hash: "" };
(globalThis as unknown as { window: unknown }).window = { localStorage: shelf, location: address, history: { replaceState: () => {} } };
const { keep, kept, whenNewer } = await import("../kept");
const { Choices, format, parse } = await import("../lessonchoices");

test("what is kept has a version, and is found again", () => {
  keep("left", "yes");
  assert.equal(shelf.held.get("lapwright left"), '{"version":1,"value":"yes"}');
  assert.equal(kept("left"), "yes");
  keep("left", "");
  assert.equal(shelf.held.has("lapwright left"), false);
  assert.equal(kept("left"), "");
});

test("what stood there before there were versions is read", () => {
  for (const plain of ["yes", "name = \"mine\"\n", '{"scale":"25 in"}', "60", "null", "[1]"]) {
    shelf.held.set("lapwright own", plain);
    assert.equal(kept("own"), plain);
  }
  keep("own", "b");
  assert.equal(shelf.held.get("lapwright own"), '{"version":1,"value":"b"}');
});

test("what a newer page keeps is left alone and told, and this page's own is remembered meanwhile", () => {
  let told = 0;
  const theirs = '{"version":2,"values":{"a":1}}';
  shelf.held.set("lapwright own", theirs);
  assert.equal(kept("own"), "b"); // what this page kept itself
  whenNewer(() => told++);
  assert.equal(told, 1);
  keep("own", "c");
  assert.equal(shelf.held.get("lapwright own"), theirs);
  assert.equal(kept("own"), "c");
  keep("own", "");
  assert.equal(shelf.held.get("lapwright own"), theirs);
  assert.equal(told, 1);
});

test("a browser that keeps nothing remembers while the page is open", () => {
  shelf.closed = true;
  keep("quiet", "yes");
  assert.equal(kept("quiet"), "yes");
  shelf.closed = false;
  assert.equal(shelf.held.has("lapwright quiet"), false);
});

test("lessons are told apart by id and folder, and one that was kept by its title is found", () => {
  shelf.held.set("lapwright lesson Low Tide", "speed=60");
  const first = new Choices("a1", "Low Tide");
  assert.deepEqual(first.was, { speed: 60 });
  assert.equal(shelf.held.has("lapwright lesson Low Tide"), false);
  first.keep((c) => ({ ...c, speed: 80 }));
  first.at(6);
  assert.equal(shelf.held.get("lapwright lesson a1 /autumn/lesson-1/"), '{"version":1,"value":"speed=80&bar=7"}');
  assert.deepEqual(new Choices("a2", "Low Tide").was, {});
  address.pathname = "/autumn/lesson-2/";
  assert.deepEqual(new Choices("a1", "Low Tide").was, {});
  address.pathname = "/autumn/lesson-1/";
  assert.deepEqual(new Choices("a1", "Another title").was, { speed: 80, bar: 6 });
});

test("opening a page and leaving it forgets nothing", () => {
  const again = new Choices("a1", "Low Tide");
  again.at(0);
  assert.deepEqual(new Choices("a1", "Low Tide").was, { speed: 80, bar: 6 });
});

test("what is written is read", () => {
  for (const c of [{}, { bar: 3 }, { instrument: "lap6-c6 backup", speed: 30, loop: [0, 2] as [number, number], bar: 1 }]) assert.deepEqual(parse(format(c)), c);
  assert.deepEqual(parse("speed=900&loop=6-2&bar=x"), {});
});
