// Files as a ZIP archive, stored as they are (PKWARE, APPNOTE.TXT 6.3.10, sections 4.3.7 and 4.3.12).

interface Entry {
  name: string;
  bytes: Uint8Array;
}

const local = 0x04034b50;
const central = 0x02014b50;
const end = 0x06054b50;
/** 1 January 1980, the earliest day there is: when a file was made is not told. */
const noDay = 0x0021;

export function zip(entries: Entry[]): Uint8Array<ArrayBuffer> {
  const parts: Uint8Array[] = [];
  const list: Uint8Array[] = [];
  let at = 0;
  for (const e of entries) {
    const name = new TextEncoder().encode(e.name);
    const sum = crc32(e.bytes);
    // Version 2.0, no flags, stored, then time, day, sum and both sizes.
    const about = (v: DataView, from: number): void => {
      v.setUint16(from, 20, true);
      v.setUint16(from + 8, noDay, true);
      v.setUint32(from + 10, sum, true);
      v.setUint32(from + 14, e.bytes.length, true);
      v.setUint32(from + 18, e.bytes.length, true);
      v.setUint16(from + 22, name.length, true);
    };
    const head = new DataView(new ArrayBuffer(30));
    head.setUint32(0, local, true);
    about(head, 4);
    const entry = new DataView(new ArrayBuffer(46));
    entry.setUint32(0, central, true);
    entry.setUint16(4, 20, true);
    about(entry, 6);
    entry.setUint32(42, at, true);
    parts.push(new Uint8Array(head.buffer), name, e.bytes);
    list.push(new Uint8Array(entry.buffer), name);
    at += 30 + name.length + e.bytes.length;
  }
  const size = list.reduce((n, p) => n + p.length, 0);
  const last = new DataView(new ArrayBuffer(22));
  last.setUint32(0, end, true);
  last.setUint16(8, entries.length, true);
  last.setUint16(10, entries.length, true);
  last.setUint32(12, size, true);
  last.setUint32(16, at, true);
  const all = [...parts, ...list, new Uint8Array(last.buffer)];
  const out = new Uint8Array(at + size + 22);
  let to = 0;
  for (const p of all) {
    out.set(p, to);
    to += p.length;
  }
  return out;
}

const table = Uint32Array.from({ length: 256 }, (_, n) => {
  let c = n;
  for (let k = 0; k < 8; k++) c = c & 1 ? (c >>> 1) ^ 0xedb88320 : c >>> 1;
  return c >>> 0;
});

/** The sum that a ZIP archive has of each file. */
export function crc32(bytes: Uint8Array): number {
  let c = 0xffffffff;
  for (const b of bytes) c = table[(c ^ b) & 0xff]! ^ (c >>> 8);
  return (c ^ 0xffffffff) >>> 0;
}
