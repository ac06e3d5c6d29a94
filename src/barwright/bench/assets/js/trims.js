// What the mock-up taught: trims of plates or bars, kept in job.toml, added and taken out whole.
import { html, useState } from "../vendor/ui.js";
import { Entries } from "./entries.js";
import { FaultList, field } from "./parts.js";
import * as state from "./state.js";
import { edit } from "./wire.js";

/** @import { Entry, Fault } from "./types.js" */
/** @typedef {{ n: number, about: string, values: Entry[] }} Trim */

const WAYS = [
  { key: "chamfer", says: "Cut a corner off", at: "corner", asks: "By, along both edges" },
  { key: "round", says: "Round a corner", at: "corner", asks: "Radius" },
  { key: "back", says: "Move an edge in", at: "edge", asks: "By" },
];

/** The trims written so far that are about plates, or about bars. @param {"part" | "bar"} of @returns {Trim[]} */
function written(of) {
  /** @type {Map<number, Entry[]>} */
  const rows = new Map();
  for (const e of state.entries.value) {
    const n = Number(/^trim\.(\d+)\./.exec(e.entry)?.[1] ?? 0);
    if (n) rows.set(n, [...(rows.get(n) ?? []), e]);
  }
  return [...rows].flatMap(([n, values]) => {
    const about = values.find((e) => e.entry === `trim.${n}.${of}`);
    return about ? [{ n, about: about.value.replace(/^"|"$/g, ""), values }] : [];
  });
}

/** @param {{ of: "part" | "bar", names: string[] }} props */
export function Trims({ of, names }) {
  const trims = written(of);
  return html`<details class="trims">
    <summary>Taken off after the mock-up <small>${trims.length}</small></summary>
    ${trims.map((t) => html`<${One} key=${t.n} t=${t} />`)}
    ${names.length > 0 && html`<${Add} of=${of} names=${names} />`}
  </details>`;
}

/** @param {{ t: Trim }} props */
function One({ t }) {
  const [faults, setFaults] = useState(/** @type {Fault[]} */ ([]));
  const out = async () => {
    const answer = await edit({ do: "set", sets: t.values.map((e) => ({ entry: e.entry, old: e.value, value: "" })) });
    setFaults(answer.ok ? [] : answer.faults);
  };
  return html`<section aria-label=${`Trim ${t.n}`}>
    <${Entries} title=${`Trim ${t.n}: ${t.about}`} of=${[`trim.${t.n}`]} hints=${[`trim.${t.n}.note`]} />
    <button type="button" class="drop" onClick=${out}>Take trim ${t.n} out</button>
    <${FaultList} faults=${faults} />
  </section>`;
}

/** @param {{ of: "part" | "bar", names: string[] }} props */
function Add({ of, names }) {
  const [faults, setFaults] = useState(/** @type {Fault[]} */ ([]));
  const [way, setWay] = useState(WAYS[0]);
  /** @param {SubmitEvent} event */
  const add = async (event) => {
    event.preventDefault();
    const form = /** @type {HTMLFormElement} */ (event.currentTarget);
    const n = 1 + state.entries.value.reduce((most, e) => Math.max(most, Number(/^trim\.(\d+)\./.exec(e.entry)?.[1] ?? 0)), 0);
    const said = of === "part"
      ? [[way?.at ?? "", field(form, "number")], [way?.key ?? "", field(form, "size")]]
      : [["end", JSON.stringify(field(form, "end"))], ["length", field(form, "size")]];
    const values = [[of, JSON.stringify(field(form, "name"))], ...said];
    const answer = await edit({ do: "set", sets: values.map(([key, value]) => ({ entry: `trim.${n}.${key}`, old: "", value })) });
    setFaults(answer.ok ? [] : answer.faults);
    if (answer.ok) form.reset();
  };
  const choose = (/** @type {Event} */ e) => setWay(WAYS.find((w) => w.key === /** @type {HTMLSelectElement} */ (e.currentTarget).value));
  return html`<form class="add" onSubmit=${add}>
    <label>${of === "part" ? "Plate" : "Bar"} <select name="name">${names.map((n) => html`<option>${n}</option>`)}</select></label>
    ${of === "part"
      ? html`<label>What <select name="way" value=${way?.key} onChange=${choose}>${WAYS.map((w) => html`<option value=${w.key}>${w.says}</option>`)}</select></label>
          <label>Number of the ${way?.at} <input name="number" required inputmode="numeric" pattern="[0-9]+" autocomplete="off" /></label>`
      : html`<label>End <select name="end"><option>from</option><option>to</option></select></label>`}
    <label>${of === "part" ? way?.asks : "Cut off"}, ${state.unit.value} <input name="size" required autocomplete="off" spellcheck=${false} placeholder=${state.unit.value === "in" ? "1/4" : "6"} /></label>
    <button>Write the trim down</button>
    <p class="hint">${of === "part" ? "Corners and edges go by the numbers on the flat pattern above, the same as on the printed template; edge 3 runs from corner 3 to the next." : "Its cope is kept, only moved in."} A twin is trimmed with it.</p>
    <${FaultList} faults=${faults} />
  </form>`;
}
