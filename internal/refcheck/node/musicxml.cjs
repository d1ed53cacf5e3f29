// A second reading of MusicXML, written apart from Lapwright's reader and with
// nothing of it: a small tokeniser, a tree, and a walk in whole numbers. For
// each file it prints one line of JSON: for each part the notes as they sound,
// ties joined, as [onset, length, key, grace], times as reduced fractions of a
// whole note counted from the start of the part, repeats not unfolded. Notes
// without a pitch and small notes (cue) are left out, alterations rounded half
// away from nought. Usage: node musicxml.cjs FILE...
const fs = require('fs');

function parse(text) {
  const root = { name: '', kids: [], text: '', attrs: {} };
  const stack = [root];
  const re = /<!--[\s\S]*?-->|<!\[CDATA\[([\s\S]*?)\]\]>|<\?[\s\S]*?\?>|<!DOCTYPE[^>[]*>|<\/([^\s>]+)\s*>|<([^\s\/>]+)((?:\s+[^\s=]+\s*=\s*(?:"[^"]*"|'[^']*'))*)\s*(\/?)>|([^<]+)/g;
  let m;
  while ((m = re.exec(text))) {
    const top = stack[stack.length - 1];
    if (m[1] !== undefined) top.text += m[1];
    else if (m[2] !== undefined) {
      if (top.name !== m[2]) throw new Error(`<${top.name}> closed by </${m[2]}>`);
      stack.pop();
    } else if (m[3] !== undefined) {
      const n = { name: m[3], kids: [], text: '', attrs: {} };
      for (const a of (m[4] || '').matchAll(/([^\s=]+)\s*=\s*(?:"([^"]*)"|'([^']*)')/g)) n.attrs[a[1]] = a[2] !== undefined ? a[2] : a[3];
      top.kids.push(n);
      if (!m[5]) stack.push(n);
    } else if (m[6] !== undefined) top.text += m[6];
  }
  if (stack.length !== 1) throw new Error(`<${stack[stack.length - 1].name}> is not closed`);
  return root.kids[0];
}

const kid = (n, name) => n && n.kids.find((k) => k.name === name);
const text = (n, name) => { const k = kid(n, name); return k ? k.text.trim() : ''; };

function gcd(a, b) { while (b) [a, b] = [b, a % b]; return a < 0n ? -a : a; }
const frac = (n, d) => { const g = gcd(n, d) || 1n; return { n: n / g, d: d / g }; };
const add = (a, b) => frac(a.n * b.d + b.n * a.d, a.d * b.d);
const neg = (a) => ({ n: -a.n, d: a.d });
const less = (a, b) => a.n * b.d < b.n * a.d;
const show = (a) => (a.d === 1n ? `${a.n}` : `${a.n}/${a.d}`);
// A decimal as a fraction.
function decimal(s) {
  const [w, f = ''] = s.trim().split('.');
  return frac(BigInt(w + f), 10n ** BigInt(f.length));
}
const over = (a, b) => frac(a.n * b.d, a.d * b.n);
const zero = { n: 0n, d: 1n };
const SEMITONES = { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 };

function readPart(measures) {
  const notes = [];
  let divisions = { n: 1n, d: 1n }, shift = 0, start = zero;
  const held = []; // sounding notes with a tie to go on
  const staffs = {};
  for (const m of measures) {
    let at = zero, end = zero, chordAt = zero, chordLen = zero;
    const length = (n) => frac(over(decimal(text(n, 'duration')), divisions).n, over(decimal(text(n, 'duration')), divisions).d * 4n);
    for (const e of m.kids) {
      if (e.name === 'attributes') {
        const d = kid(e, 'divisions');
        if (d) divisions = decimal(d.text);
        for (const t of e.kids.filter((k) => k.name === 'transpose')) {
          if (!t.attrs.number || t.attrs.number === '1') shift = Number(text(t, 'chromatic')) + 12 * Number(text(t, 'octave-change') || 0);
        }
        for (const s of e.kids.filter((k) => k.name === 'staff-details')) if (text(s, 'staff-type') === 'alternate') staffs[s.attrs.number || '1'] = true;
      } else if (e.name === 'backup') {
        at = add(at, neg(length(e)));
        if (at.n < 0n) at = zero;
      } else if (e.name === 'forward') {
        at = add(at, length(e));
        if (less(end, at)) end = at;
      } else if (e.name === 'note') {
        const grace = !!kid(e, 'grace');
        const chord = !!kid(e, 'chord');
        let len = zero, here = at;
        if (!grace) {
          len = length(e);
          if (chord) { here = chordAt; len = chordLen; }
          else { chordAt = at; chordLen = len; at = add(at, len); if (less(end, at)) end = at; }
        }
        const p = kid(e, 'pitch');
        if (!p || kid(e, 'cue') || staffs[text(e, 'staff') || '1']) continue;
        const alter = Number(text(p, 'alter') || 0);
        const rounded = Math.sign(alter) * Math.round(Math.abs(alter));
        const key = 12 * (Number(text(p, 'octave')) + 1) + SEMITONES[text(p, 'step')] + rounded + shift;
        const ties = e.kids.filter((k) => k.name === 'tie').map((k) => k.attrs.type);
        const tied = e.kids.filter((k) => k.name === 'notations').flatMap((k) => k.kids).filter((k) => k.name === 'tied').map((k) => k.attrs.type);
        const from = add(start, here);
        const goesOn = ties.includes('start') || tied.includes('start');
        if (grace) { notes.push({ at: null, len: zero, key, grace: true }); continue; }
        // A tie is taken up by the same pitch that begins where it ends.
        const i = held.findIndex((h) => h.key === key && show(add(h.at, h.len)) === show(from) && h.voice === text(e, 'voice'));
        if (i >= 0) {
          const h = held[i];
          h.len = add(h.len, len);
          if (!goesOn) held.splice(i, 1);
          continue;
        }
        const note = { at: from, len, key, grace: false, voice: text(e, 'voice') };
        notes.push(note);
        if (goesOn) held.push(note);
      }
    }
    start = add(start, end);
  }
  return notes.map((n) => [n.at ? show(n.at) : '', show(n.len), n.key, n.grace]);
}

for (const name of process.argv.slice(2)) {
  let out;
  try {
    const root = parse(fs.readFileSync(name, 'utf8'));
    const parts = new Map();
    const list = kid(root, 'part-list');
    for (const p of list ? list.kids : []) if (p.name === 'score-part') parts.set(p.attrs.id, []);
    for (const k of root.kids) {
      if (root.name === 'score-partwise' && k.name === 'part') {
        parts.set(k.attrs.id, (parts.get(k.attrs.id) || []).concat(k.kids.filter((m) => m.name === 'measure')));
      } else if (root.name === 'score-timewise' && k.name === 'measure') {
        for (const p of k.kids) if (p.name === 'part') parts.set(p.attrs.id, (parts.get(p.attrs.id) || []).concat([p]));
      }
    }
    out = { parts: [...parts.values()].filter((m) => m.length > 0).map(readPart) };
  } catch (e) {
    out = { error: String(e.message) };
  }
  console.log(JSON.stringify(out));
}
