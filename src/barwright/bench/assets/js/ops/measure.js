// Operation 1: readings in, marks out, and which reading to take next.
import { html, useMemo, useState } from "../../vendor/ui.js";
import { Entries } from "../entries.js";
import { FaultList, field } from "../parts.js";
import { Photo } from "../photo.js";
import { fine, number, tape, turn } from "../shop.js";
import * as state from "../state.js";
import { cells, edit } from "../wire.js";

/** @import { Candidate, Cells, Fault, Row } from "../types.js" */

const SHOWN = 40;
const ORDERS = [
  { key: "written", says: "As written" },
  { key: "worst", says: "Worst first" },
  { key: "suspect", says: "Suspect only" },
];

export function Measure() {
  return html`<${NextReading} />
    <${Readings} />
    <${MarkTable} />
    <${Photo} />
    <${Entries} title="How well you read" of=${["default_plus_minus", "job"]} hints=${["default_plus_minus.tape", "default_plus_minus.incline", "job.unit", "job.name"]} />`;
}

/** @type {Cells} */
const BLANK = { kind: "tape", marks: "", value: "", plus_minus: "", note: "" };

function NextReading() {
  const [start, setStart] = useState(BLANK);
  const [turnOf, setTurn] = useState(0);
  const next = state.measured.value?.next ?? [];
  /** @param {Candidate} c */
  const fill = (c) => {
    setStart({ ...BLANK, kind: c.kind, marks: c.marks.join(" ") });
    setTurn(turnOf + 1);
  };
  return html`<section class="next" aria-label="Next reading">
    <h3>Write a reading down</h3>
    <${RowForm} key=${turnOf} start=${start} says="Write it down" save=${(/** @type {Cells} */ row) => edit({ do: "add", row })} done=${() => setTurn(turnOf + 1)} />
    ${next.length > 0 && html`<p class="worth">Worth taking next:
      ${next.slice(0, 4).map((c) => html` <button type="button" onClick=${() => fill(c)}>${c.kind} ${c.marks.join(" ")} <small>${gain(c)}</small></button>`)}
    </p>`}
  </section>`;
}

/** What a reading would bring, in words. @param {Candidate} c */
const gain = (c) => (Number.isFinite(c.gain) && c.gain > 0 ? `${number(c.gain, 0)} % less doubt` : "");

/**
 * The cells of a reading, to be typed.
 * @param {{ start: Cells, says: string, save: (row: Cells) => Promise<import("../wire.js").Answer>, done: () => void, leave?: () => void, drop?: () => void }} props
 */
function RowForm({ start, says, save, done, leave, drop }) {
  const [kind, setKind] = useState(start.kind);
  const [faults, setFaults] = useState(/** @type {Fault[]} */ ([]));
  const rule = state.rows.value.kinds[kind];
  const [above, below] = example(rule?.value ?? "", state.unit.value);
  /** @param {SubmitEvent} event */
  const write = async (event) => {
    event.preventDefault();
    const form = /** @type {HTMLFormElement} */ (event.currentTarget);
    const row = { kind, marks: field(form, "marks").trim(), value: field(form, "value").trim(), plus_minus: field(form, "plus_minus").trim(), note: field(form, "note").trim() };
    const answer = await save(row);
    setFaults(answer.ok ? [] : answer.faults);
    if (answer.ok) done();
  };
  /** @param {KeyboardEvent} event */
  const key = (event) => {
    if (event.key === "Escape" && leave) leave();
  };
  return html`<form class="reading" onSubmit=${write} onKeyDown=${key}>
    <label>Kind <select name="kind" value=${kind} onChange=${(/** @type {Event} */ e) => setKind(/** @type {HTMLSelectElement} */ (e.currentTarget).value)}>
      ${Object.keys(state.rows.value.kinds).map((k) => html`<option value=${k}>${k}</option>`)}
    </select></label>
    <label>Marks <input name="marks" defaultValue=${start.marks} required autocomplete="off" autocapitalize="characters" spellcheck=${false} placeholder=${"A B C D".slice(0, 2 * (rule?.fewest ?? 2) - 1)} /></label>
    ${rule?.value !== "" && html`<label>${above} <input name="value" defaultValue=${start.value} required autocomplete="off" inputmode="text" spellcheck=${false} placeholder=${below} /></label>`}
    <label>± <input name="plus_minus" defaultValue=${start.plus_minus} autocomplete="off" spellcheck=${false} placeholder="usual" /></label>
    <label>Note <input name="note" defaultValue=${start.note} autocomplete="off" /></label>
    <button>${says}</button>
    ${leave && html`<button type="button" onClick=${leave}>Leave it</button>`}
    ${drop && html`<button type="button" class="drop" onClick=${drop}>Take the reading out</button>`}
    <p class="hint">${kind}: ${rule?.says ?? ""}.</p>
    <${FaultList} faults=${faults} />
  </form>`;
}

/** What the value field is called, and an example of what goes in. @param {string} value @param {"in" | "mm"} unit */
function example(value, unit) {
  if (value === "angle") return ["Degrees", "22.5"];
  if (value === "point") return ["x y z", "10 22 12"];
  return [unit === "in" ? "Inches" : "Millimetres", unit === "in" ? "23 7/16" : "595.3"];
}

/** The rows as written now, each with how it fitted when it was last worked out. */
function fitted() {
  const by = new Map((state.measured.value?.rows ?? []).map((r) => [words(r), r]));
  return state.rows.value.rows.map((row) => {
    const fit = by.get(words(row));
    return fit ? { ...fit, line: row.line } : row;
  });
}

/** @param {Row} r */
const words = (r) => [r.kind, r.marks, r.value, r.plus_minus].join("|");
/** How far off a reading is, in its own standard deviations. @param {Row} r */
const off = (r) => (r.residual === null || !r.sd ? 0 : r.residual / r.sd);

function Readings() {
  const [order, setOrder] = useState("written");
  const [find, setFind] = useState("");
  const [all, setAll] = useState(false);
  const [editing, setEditing] = useState(0);
  const rows = useMemo(fitted, [state.rows.value, state.measured.value]);
  const wanted = find.trim().toLowerCase().split(/\s+/).filter(Boolean);
  let shown = rows.filter((r) => wanted.every((w) => `${r.kind} ${r.marks} ${r.note} ${r.line}`.toLowerCase().split(/\s+/).includes(w) || r.note.toLowerCase().includes(w)));
  if (order === "suspect") shown = shown.filter((r) => r.suspect);
  if (order === "worst") shown = [...shown].sort((a, b) => Math.abs(off(b)) - Math.abs(off(a)));
  const cut = all || wanted.length ? shown : shown.slice(0, SHOWN);
  if (!rows.length) return null;
  return html`<section class="readings" aria-label="Readings">
    <h3>Readings <small>${shown.length === rows.length ? rows.length : `${shown.length} of ${rows.length}`}</small></h3>
    <div class="tools">
      <label>Find <input type="search" value=${find} onInput=${(/** @type {Event} */ e) => setFind(/** @type {HTMLInputElement} */ (e.currentTarget).value)} placeholder="mark, kind or note" /></label>
      <div class="choices" role="group" aria-label="Order">${ORDERS.map((o) => html`<button type="button" aria-pressed=${o.key === order} onClick=${() => setOrder(o.key)}>${o.says}</button>`)}</div>
    </div>
    <table>
      <thead><tr><th scope="col">Line</th><th scope="col">Reading</th><th scope="col" class="num">Value</th><th scope="col">Off by</th></tr></thead>
      <tbody>${cut.map((r) => (r.line === editing
        ? html`<${Editor} key=${`e${r.line}`} r=${r} leave=${() => setEditing(0)} />`
        : html`<${OneRow} key=${r.line} r=${r} edit=${() => setEditing(r.line)} />`))}</tbody>
    </table>
    ${cut.length < shown.length && html`<button type="button" class="more" onClick=${() => setAll(true)}>Show all ${shown.length}</button>`}
    ${shown.length === 0 && html`<p>None.</p>`}
  </section>`;
}

/** @param {{ r: Row, edit: () => void }} props */
function OneRow({ r, edit }) {
  const unit = state.unit.value;
  const look = () => (state.line.value = r.line);
  const here = state.line.value === r.line;
  const faults = state.status.value.faults.filter((f) => f.file === "readings.csv" && f.line === r.line);
  return html`<tr id=${`row-${r.line}`} data-here=${here} data-suspect=${r.suspect} onMouseEnter=${look} onClick=${look}>
    <td class="line">${r.line}</td>
    <th scope="row"><button type="button" class="row" onFocus=${look} onClick=${edit} aria-label=${`Edit line ${r.line}: ${r.kind} ${r.marks} ${r.value}`}>
      <span class="kind">${r.kind}</span> <span class="marks">${r.marks}</span></button>
      ${r.note && html`<small class="note">${r.note}</small>`}
      ${faults.length > 0 && html`<b class="level">■ wrong: see above</b>`}
    </th>
    <td class="num typed">${r.value}</td>
    <td><${Residual} r=${r} unit=${unit} /></td>
  </tr>`;
}

/** How far off the adjusted value is, against its own doubt: a bar from the middle. @param {{ r: Row, unit: "in" | "mm" }} props */
function Residual({ r, unit }) {
  if (r.residual === null) return html`<small>–</small>`;
  const w = Math.max(-4, Math.min(4, off(r)));
  const [x, wide] = [50 + Math.min(0, w) * 12, Math.abs(w) * 12];
  const says = r.angle ? turn(r.residual, 2) : fine(r.residual, unit);
  return html`<span class="residual">
    <svg viewBox="0 0 100 12" preserveAspectRatio="none" aria-hidden="true">
      <path d="M14 0v12M86 0v12" class="bound" /><rect x=${x} y="3" width=${Math.max(0.8, wide)} height="6" class=${r.suspect ? "far" : ""} /><path d="M50 0v12" class="zero" />
    </svg>
    <span class="num">${says}</span> ${r.suspect && html`<b class="level">◆ suspect</b>`}
  </span>`;
}

/** @param {{ r: Row, leave: () => void }} props */
function Editor({ r, leave }) {
  const [old] = useState(cells(r));
  const likely = state.measured.value?.mistakes.find((m) => m.line === r.line);
  const save = (/** @type {Cells} */ row) => edit({ do: "alter", line: r.line, old, row });
  const drop = async () => {
    const answer = await edit({ do: "drop", line: r.line, old });
    if (answer.ok) leave();
  };
  return html`<tr class="editing"><td colspan="4">
    ${likely && html`<p class="likely">Likely mistake: ${likely.says}.</p>`}
    <${RowForm} start=${old} says="Write it" save=${save} done=${leave} leave=${leave} drop=${drop} />
  </td></tr>`;
}

function MarkTable() {
  const [open, setOpen] = useState(false);
  const unit = state.unit.value;
  const marks = state.measured.value?.marks ?? [];
  if (!marks.length) return null;
  return html`<details class="marks" open=${open} onToggle=${(/** @type {Event} */ e) => setOpen(/** @type {HTMLDetailsElement} */ (e.currentTarget).open)}>
    <summary>Marks <small>${marks.length}, where each stands and one standard deviation</small></summary>
    ${open && html`<table>
      <thead><tr><th scope="col">Mark</th><th scope="col" class="num">Forward</th><th scope="col" class="num">Left</th><th scope="col" class="num">Up</th><th scope="col" class="num">± worst, ${unit}</th></tr></thead>
      <tbody>${marks.map((m) => html`<tr key=${m.name} data-here=${state.chosen.value === m.name}>
        <th scope="row"><button type="button" class="row" onClick=${() => (state.chosen.value = m.name)}>${m.name}</button></th>
        ${m.xyz.map((v) => html`<td class="num">${tape(v, unit)}</td>`)}
        <td class="num">${m.sd.some((s) => s === null) ? "unknown" : fine(Math.max(...m.sd.map(Number)), unit)}</td>
      </tr>`)}</tbody>
    </table>`}
  </details>`;
}
