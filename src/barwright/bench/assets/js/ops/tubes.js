// Operation 2: what the saw, the bender and the grinder need to know of each bar.
import { html, useState } from "../../vendor/ui.js";
import { Entries } from "../entries.js";
import { Chosen, FaultList, Len, field } from "../parts.js";
import { both, number, tape, turn } from "../shop.js";
import * as state from "../state.js";
import { Trims } from "../trims.js";
import { edit } from "../wire.js";

/** @import { Bar, Fault } from "../types.js" */

export function Tubes() {
  const bars = state.bars.value;
  const bar = bars.find((b) => b.name === state.chosen.value) ?? null;
  return html`
    ${bars.length > 0 && html`<${List} bars=${bars} bar=${bar} />`}
    <${AddBar} />
    <${Trims} of="bar" names=${bars.filter((b) => !b.twin_of).map((b) => b.name)} />
    <${Entries} title="Tube on the rack, what bends it, what stands already" of=${["stock", "bender", "saw", "standing"]} hints=${["standing.bars", "stock.main.od", "stock.main.wall", "stock.main.steel", "stock.main.bar", "bender.main.clr", "bender.main.grip", "bender.main.springback", "bender.main.roundness"]} />`;
}

/** @param {{ bars: Bar[], bar: Bar | null }} props */
function List({ bars, bar }) {
  const unit = state.unit.value;
  return html`<table class="bars">
    <thead><tr><th scope="col">Bar</th><th scope="col">Stock</th><th scope="col" class="num">Cut, ${unit}</th><th scope="col" class="num">Bends</th></tr></thead>
    <tbody>${bars.map((b, i) => html`${b.stands && !bars[i - 1]?.stands && html`<tr key="standing" class="parting"><th scope="rowgroup" colspan="4">Standing already; nothing of these is made</th></tr>`}<${Chosen} key=${b.name} name=${b.name} here=${b === bar} wide=${4} cells=${html`<td>${b.stock}</td><td class="num">${tape(b.cut, unit)}</td><td class="num">${b.steps.length || "–"}</td>`}>
      ${b === bar && html`<${Sheet} bar=${bar} />`}
    </${Chosen}>`)}</tbody>
  </table>`;
}

/** @param {{ bar: Bar }} props */
function Sheet({ bar }) {
  const written = bar.twin_of || bar.name;
  return html`<section class="sheet" aria-label=${`Bend sheet of ${bar.name}`}>
    <h3>${bar.name} ${bar.twin_of && html`<small>twin of ${bar.twin_of}</small>`}</h3>
    <dl class="facts">
      <div><dt>Cut</dt><dd><${Len} mm=${bar.cut} /></dd></div>
      ${bar.blank - bar.cut > 0.05 && html`<div><dt>Saw off the bar</dt><dd><${Len} mm=${bar.blank} /></dd></div>`}
      <div><dt>Tube</dt><dd>${both(bar.od, state.unit.value)}, wall ${both(bar.wall, state.unit.value)}</dd></div>
      <div><dt>Weighs</dt><dd>${number(bar.mass, 2)} kg</dd></div>
    </dl>
    ${bar.steps.length > 0 && html`<${Bends} bar=${bar} />`}
    <${Ends} bar=${bar} />
    <${Entries} title=${`[bar.${written}] in job.toml`} of=${[`bar.${written}`]} hints=${["stock", "path", "clr", "spin", "trim", "bend_from", "past.from", "past.to"].map((f) => `bar.${written}.${f}`)} />
  </section>`;
}

/** The straight tube with its marks, and the bends in their order. @param {{ bar: Bar }} props */
function Bends({ bar }) {
  const unit = state.unit.value;
  return html`
    <${Strip} bar=${bar} />
    <table class="bends">
      <caption>${bar.prebent ? "Bent already; this is how it is." : `Bend from the ${bar.from_end === "from" ? bar.ends.from.mark : bar.ends.to.mark} end; marks count from there.`} Radius to the centre <${Len} mm=${bar.clr} plain />.</caption>
      <thead><tr><th scope="col">Bend</th><th scope="col" class="num">Mark at</th><th scope="col" class="num">Roll first</th><th scope="col" class="num">Bend to</th><th scope="col" class="num">Set</th></tr></thead>
      <tbody>${bar.steps.map((s) => html`<tr key=${s.n}>
        <th scope="row">${s.n}</th>
        <td class="num"><b>${tape(s.mark, unit)}</b><small>${both(s.mark, unit)}</small></td>
        <td class="num">${Math.abs(s.roll_arc) < 0.2 ? "–" : html`${turn(s.roll)}<small>${tape(Math.abs(s.roll_arc), unit)} ${unit} round, ${s.roll > 0 ? "right" : "left"} hand</small>`}</td>
        <td class="num">${turn(s.wanted)}</td>
        <td class="num">${s.set === null ? html`<small>test bend first</small>` : turn(s.set)}</td>
      </tr>`)}</tbody>
    </table>`;
}

/** The tube laid straight, each bend's stretch and mark on it. @param {{ bar: Bar }} props */
function Strip({ bar }) {
  const unit = state.unit.value;
  const long = bar.blank;
  const at = (/** @type {number} */ mm) => 20 + (960 * mm) / long;
  return html`<svg class="strip" viewBox="0 0 1000 96" role="img" aria-label=${`The straight tube, ${tape(long, unit)} ${unit}, with the marks of ${bar.steps.length} bends`}>
    <rect x="20" y="40" width="960" height="22" class="tube" />
    ${bar.steps.map((s) => {
      const arc = (s.wanted * Math.PI * bar.clr) / 180;
      return html`<rect x=${at(s.mark)} y="40" width=${at(arc) - 20} height="22" class="bent" />
        <path d=${`M${at(s.mark)} 30V72`} class="at" />
        <text x=${at(s.mark)} y="22" text-anchor="middle">${s.n}</text>
        <text x=${at(s.mark)} y="90" text-anchor="middle">${tape(s.mark, unit)}</text>`;
    })}
  </svg>`;
}

/** @param {{ bar: Bar }} props */
function Ends({ bar }) {
  const tag = state.tags.value.tubes ?? "";
  return html`<div class="ends">${/** @type {const} */ (["from", "to"]).map((which) => {
    const end = bar.ends[which];
    const wrapped = bar.wraps.includes(which);
    return html`<figure>
      <figcaption><b>End at ${end.mark}</b> ${end.against.length ? `cut against ${end.against.join(" and ")}` : "cut square"}</figcaption>
      ${wrapped && html`<a href=${wrap(bar, which)} target="_blank" rel="noopener"><img loading="lazy" alt=${`Template that wraps round ${bar.name} at ${end.mark}`} src=${`${wrap(bar, which)}?${tag}`} /></a>`}
    </figure>`;
  })}</div>`;
}

/** @param {Bar} bar @param {"from" | "to"} which */
const wrap = (bar, which) => `/wrap/${encodeURIComponent(bar.name)}/${which}.svg`;

/** A bar is added by its stock and the marks it runs through. */
function AddBar() {
  const [faults, setFaults] = useState(/** @type {Fault[]} */ ([]));
  const stocks = [...new Set(state.entries.value.flatMap((e) => /^stock\.([^.]+)\./.exec(e.entry)?.[1] ?? []))];
  /** @param {SubmitEvent} event */
  const add = async (event) => {
    event.preventDefault();
    const form = /** @type {HTMLFormElement} */ (event.currentTarget);
    const name = field(form, "name").trim();
    const path = field(form, "path").trim().split(/[\s,]+/);
    const sets = [
      { entry: `bar.${name}.stock`, old: "", value: JSON.stringify(field(form, "stock")) },
      { entry: `bar.${name}.path`, old: "", value: JSON.stringify(path) },
    ];
    const answer = await edit({ do: "set", sets });
    setFaults(answer.ok ? [] : answer.faults);
    if (!answer.ok) return;
    form.reset();
    state.chosen.value = name;
  };
  return html`<details class="adding">
    <summary>Add a bar</summary>
    <form class="add" onSubmit=${add}>
      <label>Name <input name="name" required pattern="[A-Za-z0-9_\\-]+" autocomplete="off" autocapitalize="off" spellcheck=${false} /></label>
      <label>Stock ${stocks.length ? html`<select name="stock">${stocks.map((s) => html`<option>${s}</option>`)}</select>` : html`<input name="stock" required placeholder="main" />`}</label>
      <label>Through marks <input name="path" required autocomplete="off" spellcheck=${false} placeholder="A B C" /></label>
      <button>Add it</button>
      <p class="hint">The middle of the tube runs through these; those in between are where it bends.</p>
      <${FaultList} faults=${faults} />
    </form>
  </details>`;
}
