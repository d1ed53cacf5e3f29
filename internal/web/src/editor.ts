// The text editor, loaded only when a page shows one: ABC or a rig's TOML, with
// what is wrong marked under the right character.

import { defaultKeymap, history, historyKeymap } from "@codemirror/commands";
import { HighlightStyle, StreamLanguage, syntaxHighlighting } from "@codemirror/language";
import { linter, lintGutter, type Diagnostic } from "@codemirror/lint";
import { EditorState } from "@codemirror/state";
import { drawSelection, EditorView, highlightActiveLine, keymap, lineNumbers } from "@codemirror/view";
import { tags } from "@lezer/highlight";

import type { Fault } from "./forms";

export interface Setting {
  parent: HTMLElement;
  text: string;
  language: "abc" | "tab" | "toml";
  label: string;
  readOnly: boolean;
  /** Reads the text and says what is wrong; ok is told a text that can be read. */
  check: (text: string) => Promise<Fault[]>;
  changed: (text: string, readable: boolean) => void;
  /** Told what is wrong in the text, line by line, in the order of the lines. */
  told: (said: Fault[]) => void;
}

const abc = StreamLanguage.define<{ body: boolean }>({
  startState: () => ({ body: false }),
  token(stream, state) {
    if (stream.sol()) {
      if (stream.match(/^%.*/)) return "comment";
      if (stream.match(/^[A-Za-z+]:/)) {
        state.body = true;
        stream.match(/^.*/);
        return "meta";
      }
    }
    if (stream.match(/^%.*/)) return "comment";
    if (stream.match(/^"[^"]*"?/)) return "string";
    if (stream.match(/^[|:\][]*\|[|:\]1-9]*/)) return "keyword";
    if (stream.match(/^![^!]*!/)) return "meta";
    if (stream.match(/^[_=^]*[A-Ga-gz][,']*[0-9/]*/)) return null;
    stream.next();
    return null;
  },
});

const toml = StreamLanguage.define<null>({
  startState: () => null,
  token(stream) {
    if (stream.match(/^#.*/)) return "comment";
    if (stream.sol() && stream.match(/^\s*\[.*/)) return "keyword";
    if (stream.match(/^"[^"]*"?/) || stream.match(/^'[^']*'?/)) return "string";
    if (stream.match(/^[A-Za-z_][\w-]*(?=\s*=)/)) return "meta";
    stream.next();
    return null;
  },
});

const tabLines = StreamLanguage.define<null>({
  startState: () => null,
  token(stream) {
    if (stream.sol() && stream.match(/^[a-z]+:.*/)) return "meta";
    if (stream.sol() && stream.match(/^(bar|chords|rhythm|hand)\b/)) return "keyword";
    if (stream.match(/^[0-9]+/)) return "string";
    stream.next();
    return null;
  },
});

const colours = HighlightStyle.define([
  { tag: tags.comment, color: "var(--ink-soft)", fontStyle: "italic" },
  { tag: tags.string, color: "var(--ink)" , fontWeight: "600" },
  { tag: tags.meta, color: "var(--accent)" },
  { tag: tags.keyword, color: "var(--accent)", fontWeight: "600" },
]);

const look = EditorView.theme({
  "&": { fontSize: "0.92rem", backgroundColor: "var(--sheet)", color: "var(--ink)" },
  ".cm-content": { fontFamily: "var(--mono)", caretColor: "var(--ink)" },
  ".cm-gutters": { fontFamily: "var(--mono)", backgroundColor: "var(--sheet)", color: "var(--ink-soft)", border: "none" },
  "&.cm-focused": { outline: "none" },
  ".cm-activeLine": { backgroundColor: "var(--wash)" },
  ".cm-cursor": { borderLeftColor: "var(--ink)" },
  "&.cm-focused .cm-selectionBackground, .cm-selectionBackground": { backgroundColor: "var(--accent-wash)" },
  ".cm-scroller": { maxHeight: "26rem", overflow: "auto", lineHeight: "1.5" },
  ".cm-tooltip": { backgroundColor: "var(--sheet)", color: "var(--ink)", border: "1px solid var(--line-strong)" },
  ".cm-diagnostic": { fontFamily: "var(--sans)", fontSize: "0.9rem" },
});

export interface Editor {
  text: () => string;
  /** Goes to a line, counted from 1. */
  go: (line: number) => void;
  replace: (text: string) => void;
}

export function open(s: Setting): Editor {
  const nonce = document.querySelector<HTMLMetaElement>("meta[name=csp-nonce]")?.content ?? "";
  let quiet = false;
  const lint = linter(
    async (view) => {
      const text = view.state.doc.toString();
      const said = await s.check(text);
      if (!quiet) s.changed(text, !said.some((d) => d.error));
      quiet = false;
      s.told([...said].sort((a, b) => (a.line ?? 0) - (b.line ?? 0)));
      return said.map((d) => place(view.state, d));
    },
    { delay: 200 },
  );
  const view = new EditorView({
    parent: s.parent,
    state: EditorState.create({
      doc: s.text,
      extensions: [
        EditorView.cspNonce.of(nonce),
        lineNumbers(),
        lintGutter(),
        history(),
        drawSelection(),
        highlightActiveLine(),
        keymap.of([...defaultKeymap, ...historyKeymap]),
        s.language === "tab" ? [] : EditorView.lineWrapping,
        EditorView.contentAttributes.of({ "aria-label": s.label, tabindex: "0", spellcheck: "false", autocapitalize: "off" }),
        EditorState.readOnly.of(s.readOnly),
        { abc, tab: tabLines, toml }[s.language],
        syntaxHighlighting(colours),
        look,
        s.readOnly ? [] : lint,
      ],
    }),
  });
  return {
    text: () => view.state.doc.toString(),
    go: (line) => {
      const at = view.state.doc.line(Math.max(1, Math.min(line, view.state.doc.lines)));
      view.dispatch({ selection: { anchor: at.from }, scrollIntoView: true });
      view.focus();
    },
    replace: (text) => {
      if (text === view.state.doc.toString()) return;
      quiet = true;
      view.dispatch({ changes: { from: 0, to: view.state.doc.length, insert: text } });
    },
  };
}

/** Columns are counted in bytes by the program and in UTF-16 here. */
function place(state: EditorState, d: Fault): Diagnostic {
  const line = state.doc.line(Math.max(1, Math.min((d.line ?? 1) || 1, state.doc.lines)));
  const bytes = new TextEncoder().encode(line.text).subarray(0, Math.max(0, (d.column ?? 1) - 1));
  const from = line.from + Math.min(line.length, new TextDecoder().decode(bytes).length);
  const to = Math.min(line.to, from + 1);
  return { from: Math.min(from, to), to, severity: d.error ? "error" : "warning", message: d.hint ? `${d.text} (${d.hint})` : d.text };
}
