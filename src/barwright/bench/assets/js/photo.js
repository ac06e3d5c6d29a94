// A photo of a cardboard template on the printed board: points picked on it, its outline traced.
import { html, useRef, useState } from "../vendor/ui.js";
import { FaultList, field } from "./parts.js";
import { number } from "./shop.js";
import * as state from "./state.js";
import { edit, post } from "./wire.js";

/** @import { Fault } from "./types.js" */
/** @typedef {{ key: string, name: string, size: [number, number] }} Taken */
/** @typedef {{ summary: string[], lines: { name: string, a: [number, number], b: [number, number], sd: number }[], files: string[] }} Traced */
/** @typedef {[number, number]} Pixel */

const BOARDS = ["letter", "a4", "a3", "a4-3x2"];

export function Photo() {
  const [taken, setTaken] = useState(/** @type {Taken | null} */ (null));
  const [faults, setFaults] = useState(/** @type {Fault[]} */ ([]));
  const [busy, setBusy] = useState(false);
  /** @param {Event} event */
  const take = async (event) => {
    const file = /** @type {HTMLInputElement} */ (event.currentTarget).files?.[0];
    if (!file) return;
    setBusy(true);
    const answer = await post(`/photo?name=${encodeURIComponent(file.name)}`, file);
    setBusy(false);
    setTaken(answer.ok ? answer.told : null);
    setFaults(answer.ok ? [] : answer.faults);
  };
  return html`<details class="photo">
    <summary>Photo of a cardboard template</summary>
    <p>Lay the template on the printed board, take a photo from above, and choose it here. It is kept in the job's <code>templates</code> folder.</p>
    <label class="file">Photo <input type="file" accept="image/*" onChange=${take} /></label>
    ${busy && html`<p role="status">Opening the photo …</p>`}
    <${FaultList} faults=${faults} />
    ${taken && html`<${Trace} key=${taken.key} taken=${taken} />`}
  </details>`;
}

/** @param {{ taken: Taken }} props */
function Trace({ taken }) {
  const [points, setPoints] = useState(/** @type {Pixel[]} */ ([]));
  const [traced, setTraced] = useState(/** @type {Traced | null} */ (null));
  const [faults, setFaults] = useState(/** @type {Fault[]} */ ([]));
  const [busy, setBusy] = useState(0);
  const picture = useRef(/** @type {HTMLImageElement | null} */ (null));
  const [wide, high] = taken.size;
  /** Exactly where the finger goes down: a click would round to whole pixels. @param {PointerEvent} e */
  const pick = (e) => {
    const box = /** @type {HTMLElement} */ (e.currentTarget).getBoundingClientRect();
    setPoints([...points, [((e.clientX - box.left) / box.width) * wide, ((e.clientY - box.top) / box.height) * high]]);
  };
  const picks = points.flatMap((a, i) => {
    const b = points[i + 1];
    return i % 2 === 0 && b ? [{ name: `line ${i / 2 + 1}`, a, b }] : [];
  });
  /** @param {SubmitEvent} event */
  const trace = async (event) => {
    event.preventDefault();
    const form = /** @type {HTMLFormElement} */ (event.currentTarget);
    const ask = { board: field(form, "board"), thickness: field(form, "thickness"), bar: field(form, "bar"), tolerance: "", picks };
    setBusy(1);
    const answer = await post(`/photo/${taken.key}/trace`, ask);
    setBusy(0);
    setTraced(answer.ok ? answer.told : null);
    setFaults(answer.ok ? [] : answer.faults);
  };
  return html`<div class="trace">
    <div class="plate" onPointerDown=${pick}>
      <img ref=${picture} src=${`/photo/${taken.key}.jpg`} alt=${`Photo ${taken.name}`} draggable=${false} />
      <svg viewBox=${`0 0 ${wide} ${high}`} aria-hidden="true">
        ${picks.map((p) => html`<path d=${`M${p.a[0]} ${p.a[1]}L${p.b[0]} ${p.b[1]}`} />`)}
        ${points.map(([x, y], i) => html`<circle cx=${x} cy=${y} r=${wide / 120} /><text x=${x + wide / 90} y=${y} font-size=${wide / 40}>${i + 1}</text>`)}
      </svg>
    </div>
    <p>Tap twice on each centreline drawn on the card, near its ends. ${picks.length} ${picks.length === 1 ? "line" : "lines"} picked.
      <button type="button" disabled=${!points.length} onClick=${() => setPoints(points.slice(0, -1))}>Take the last point back</button></p>
    <form class="add" onSubmit=${trace}>
      <label>Board <select name="board" defaultValue=${state.unit.value === "in" ? "letter" : "a4"}>${BOARDS.map((b) => html`<option>${b}</option>`)}</select></label>
      <label>Card's thickness <input name="thickness" required placeholder="3 mm" autocomplete="off" /></label>
      <label>The 100 mm bar measures, mm <input name="bar" placeholder="100" autocomplete="off" inputmode="decimal" /></label>
      <button disabled=${Boolean(busy)}>Trace it</button>
    </form>
    ${Boolean(busy) && html`<p role="status">Tracing; some seconds …</p>`}
    <${FaultList} faults=${faults} />
    ${traced && html`<div class="traced">
      <img src=${`/photo/${taken.key}.svg?${Date.now()}`} alt="Traced outline in true size" />
      <ul>${traced.summary.map((s) => html`<li>${s}</li>`)}
        ${traced.lines.map((l) => html`<li>${l.name}: ${number(Math.hypot(l.a[0] - l.b[0], l.a[1] - l.b[1]), 1)} mm long, known to ±${number(l.sd, 2)} mm</li>`)}</ul>
      <p>Written to templates: ${traced.files.join(", ")}.</p>
      <${AsPlate} traced=${traced} />
    </div>`}
  </div>`;
}

/** The traced outline becomes a [plate]: its sheet, and the marks that say where it stands. @param {{ traced: Traced }} props */
function AsPlate({ traced }) {
  const [faults, setFaults] = useState(/** @type {Fault[]} */ ([]));
  const [made, setMade] = useState("");
  const file = traced.files.find((f) => f.endsWith(".json")) ?? "";
  const sheets = [...new Set(state.entries.value.flatMap((e) => /^sheet\.([^.]+)\./.exec(e.entry)?.[1] ?? []))];
  const marks = state.measured.value?.marks.map((m) => m.name) ?? [];
  /** @param {SubmitEvent} event */
  const make = async (event) => {
    event.preventDefault();
    const form = /** @type {HTMLFormElement} */ (event.currentTarget);
    const said = (/** @type {string} */ name) => JSON.stringify(field(form, name).trim());
    const plate = field(form, "plate").trim();
    const rows = [
      sheets.length ? ["sheet", said("sheet")] : ["thickness", field(form, "thick")],
      ["template", JSON.stringify(`templates/${file}`)],
      ...(field(form, "line") ? [["line", said("line")]] : []),
      ["at", `{ origin = ${said("origin")}, along = ${said("along")}, toward = ${said("toward")} }`],
    ];
    const answer = await edit({ do: "set", sets: rows.map(([key, value]) => ({ entry: `plate.${plate}.${key}`, old: "", value })) });
    setFaults(answer.ok ? [] : answer.faults);
    setMade(answer.ok ? plate : "");
  };
  const mark = (/** @type {string} */ name, /** @type {string} */ says) => html`<label>${says} <input name=${name} required list="plate-marks" autocomplete="off" spellcheck=${false} /></label>`;
  return html`<form class="add plate-of" onSubmit=${make}>
    <label>Name of the plate <input name="plate" required pattern="[A-Za-z0-9_\\-]+" autocomplete="off" autocapitalize="off" spellcheck=${false} /></label>
    ${sheets.length
      ? html`<label>Sheet <select name="sheet">${sheets.map((s) => html`<option>${s}</option>`)}</select></label>`
      : html`<label>Thick, ${state.unit.value} <input name="thick" required autocomplete="off" placeholder=${state.unit.value === "in" ? "1/8" : "3"} /></label>`}
    <label>Line on it <select name="line"><option value="">none: its own edge</option>${traced.lines.map((l) => html`<option>${l.name}</option>`)}</select></label>
    ${mark("origin", "Starts at mark")}${mark("along", "Runs toward mark")}${mark("toward", "Lies toward mark")}
    <datalist id="plate-marks">${marks.map((m) => html`<option value=${m} />`)}</datalist>
    <button>Make it a plate</button>
    <p class="hint">The line's two ends come to the first two marks; the third says which way the plate lies.</p>
    ${made && html`<p role="status">✓ [plate.${made}] is written; it stands under Plates.</p>`}
    <${FaultList} faults=${faults} />
  </form>`;
}
