// Operation 7: the steps in which it goes together, one at a time, pulled apart to see how.
import { html } from "../../vendor/ui.js";
import { Len } from "../parts.js";
import { number, turn } from "../shop.js";
import * as state from "../state.js";

/** @import { Buildup, Step } from "../types.js" */

export function Build() {
  const found = state.buildup.value;
  if (!found) return html`<p>Not worked out yet.</p>`;
  return html`
    ${found.steps.length > 0 && html`<${Steps} steps=${found.steps} />`}
    <${Apart} />
    ${found.clashes.length > 0 && html`<${Clashes} found=${found} />`}
    ${found.ways.length > 0 && html`<${Ways} found=${found} />`}
    ${found.seams.length > 0 && html`<${Seams} found=${found} />`}
    ${found.reach.length > 0 && html`<${Reach} found=${found} />`}`;
}

/** How far everything is pulled apart. */
function Apart() {
  const pull = (/** @type {Event} */ e) => (state.apart.value = Number(/** @type {HTMLInputElement} */ (e.currentTarget).value));
  return html`<label class="slider">Pull apart <output>${number(100 * state.apart.value, 0)} %</output>
    <input type="range" min="0" max="1" step="0.02" value=${state.apart.value} onInput=${pull} />
  </label>`;
}

const STATES = /** @type {Record<string, string>} */ ({ loose: "put in loose", tack: "tack", prove: "prove", weld: "weld" });

/** @param {{ steps: Step[] }} props */
function Steps({ steps }) {
  const at = Math.min(state.buildStep.value, steps.length - 1);
  const step = /** @type {Step} */ (steps[at]);
  const go = (/** @type {number} */ to) => (state.buildStep.value = Math.max(0, Math.min(steps.length - 1, to)));
  return html`<section class="stepper" aria-label="Steps">
    <div class="answers">
      <button type="button" disabled=${at === 0} onClick=${() => go(at - 1)}>Back</button>
      <p role="status"><b>Step ${at + 1}</b> of ${steps.length}: ${STATES[step.state] ?? step.state}</p>
      <button type="button" disabled=${at === steps.length - 1} onClick=${() => go(at + 1)}>Next step</button>
    </div>
    <h3>${step.title}</h3>
    <ul class="plain">${step.says.map((s) => html`<li>${s}</li>`)}</ul>
    ${step.adds.length > 0 && html`<p><b>Comes in${step.together ? ", all at once" : ""}:</b> ${step.adds.join(", ")}</p>`}
    ${step.freedom.filter((f) => f.left > 0).map((f) => html`<p class="hint">${f.name} can still ${f.ways.join(", ")}. ${f.fix}</p>`)}
    ${step.hold && html`<p class="verdict" data-level="must"><b>■ Hold here.</b> ${step.hold}</p>`}
    ${step.checks.length > 0 && html`<ul class="checks" aria-label="To tick and sign">${step.checks.map((c) => html`<li>${c}</li>`)}</ul>`}
    <details><summary>All steps</summary><ol class="allsteps">${steps.map((s, i) => html`<li><button type="button" class="row" aria-pressed=${i === at} onClick=${() => go(i)}>${i + 1}. ${s.title}${s.hold ? " ■ hold" : ""}</button></li>`)}</ol></details>
  </section>`;
}

/** @param {{ found: Buildup }} props */
function Clashes({ found }) {
  return html`<table><caption>In one place at once, of ${found.compared} pairs looked at</caption>
    <thead><tr><th scope="col">Part</th><th scope="col">With</th><th scope="col">When</th><th scope="col">How deep</th></tr></thead>
    <tbody>${found.clashes.map((c) => html`<tr><th scope="row"><button type="button" class="row" onClick=${() => (state.chosen.value = c.first)}>${c.first}</button></th><td>${c.second}</td><td>${c.state}</td><td><${Len} mm=${c.depth} /></td></tr>`)}</tbody></table>`;
}

/** @param {{ found: Buildup }} props */
function Ways({ found }) {
  return html`<details><summary>How parts come out again <small>${found.ways.length}</small></summary><ul class="plain">
    ${found.ways.map((w) => html`<li><b>${w.names.join(", ")}</b> ${w.out ? "✓ comes out" : html`■ is caught by ${w.blocked_by.join(", ")} after <${Len} mm=${w.goes} />`}</li>`)}</ul></details>`;
}

/** @param {{ found: Buildup }} props */
function Seams({ found }) {
  return html`<details><summary>Welds, in order <small>${found.seams.length}</small></summary><table>
    <thead><tr><th scope="col" class="num">No.</th><th scope="col">Joins</th><th scope="col" class="num">Torch reaches</th><th scope="col">Before</th></tr></thead>
    <tbody>${found.seams.map((s, i) => html`<tr><td class="num">${i + 1}</td><th scope="row">${s.parts.join(" to ")}</th><td class="num">${s.reached === null ? "not tried" : `${number(100 * s.reached, 0)} %`}</td><td>${s.before.join(", ") || "–"}</td></tr>`)}</tbody></table></details>`;
}

/** @param {{ found: Buildup }} props */
function Reach({ found }) {
  return html`<details><summary>Getting at the bolts <small>${found.reach.length}</small></summary><ul class="plain">
    ${found.reach.map((r) => html`<li><b>${r.bolt}</b>, ${r.end}: ${r.socket ? "✓ a socket goes on" : r.spanner > 0 ? `✓ a spanner swings ${turn(r.spanner, 0)}` : `■ in the way: ${r.blocked_by.join(", ")}`}</li>`)}</ul></details>`;
}
