/* The notes of a reader as text: a notes round, the task list that is read back. */
"use strict";
const Round = (() => {
  /* What makes a line something else than words when it stands first on it; the reader of rounds takes the sign away. */
  const TELLING =
    /^(?:[-*+#(\[<>`~=|\u2022\u2013\u2014]|[0-9]{1,9}[.)]?(?:[ \t:]|$)|[A-Za-z][A-Za-z -]{0,20}?[ \t]*:)/;
  const ENDS = /\r\n|[\n\r\v\f\x85\u2028\u2029]/;
  const CONTROLS = /[\x00-\x08\x0e-\x1f\x7f-\x9f]|\p{Surrogate}/gu;

  const escaped = (row) => (row.startsWith("\\") || TELLING.test(row.replace(/^[ \t]+/, "")) ? "\\" + row : row);
  const clean = (text) => text.replace(CONTROLS, "\ufffd");
  const oneRow = (text) => clean(text.split(ENDS).join(" ")).split(/\s+/).filter(Boolean).join(" ");
  const rows = (text) => text.split(ENDS).map((row) => clean(row).replace(/[ \t]+$/, ""));
  const quoted = (words) => {
    const bare = /["\u201c\u201d]/.test(words) ? words.replace(/["\u201c\u201d]/g, '"') : words;
    return bare.includes('"') ? `\u201c${bare}\u201d` : `"${bare}"`;
  };
  const part = (value) => String(Math.round(value * 10000) / 10000);

  /* A note's place in the rounds' own spelling. */
  const place = (note) =>
    note.place + (note.panel ? `.${note.panel}` : "") + (note.quote ? ` ${quoted(note.quote)}` : "") +
    (note.spot ? ` @${part(note.spot[0])},${part(note.spot[1])}` : "");

  /* Page labels as ranges: 1-4,7. */
  const ranges = (labels) => {
    const numbers = new Set();
    const others = [];
    for (const label of labels) {
      const found = /^(\d+)(?:-(\d+))?$/.exec(label);
      if (!found) others.push(label);
      else for (let n = +found[1]; n <= +(found[2] || found[1]); n += 1) numbers.add(n);
    }
    const runs = [];
    for (const n of [...numbers].sort((one, other) => one - other)) {
      if (runs.length && runs[runs.length - 1][1] === n - 1) runs[runs.length - 1][1] = n;
      else runs.push([n, n]);
    }
    return [...others, ...runs.map(([from, to]) => (from === to ? `${from}` : `${from}-${to}`))].join(",");
  };

  const two = (number) => String(number).padStart(2, "0");
  const day = (now) => `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;

  const text = (kept, entry, now) => {
    const reader = oneRow(kept.name);
    const head = [`# ${reader ? reader + " on " + entry : "Notes on " + entry}`];
    if (reader) head.push(`from: ${reader}`);
    head.push(`on: ${entry}`, `date: ${day(now)}`);
    if (kept.read.length) head.push(`read: ${ranges(kept.read)}`);
    const notes = kept.notes.map((note, at) => {
      const [first, ...others] = rows(note.text);
      return [`- [ ] ${at + 1} (${place(note)}) ${escaped(first)}`, ...others.map((row) => (row ? "  " + escaped(row) : ""))].join("\n");
    });
    return [...head, "", ...notes, ""].join("\n");
  };
  return { text, oneRow };
})();
