// Operation 6: what it stands, case by case. The cautions come first and stay in sight.
import { html } from "../../vendor/ui.js";
import { Entries } from "../entries.js";
import { Choices, Len } from "../parts.js";
import { number } from "../shop.js";
import * as state from "../state.js";

/** @import { Case } from "../types.js" */

export function Strength() {
  const found = state.strength.value;
  const cases = found?.cases ?? [];
  const here = cases.find((c) => c.name === state.caseName.value) ?? cases[0] ?? null;
  return html`
    ${found && html`<ul class="cautions" aria-label="Cautions">${found.cautions.map((c) => html`<li>${c}</li>`)}</ul>`}
    ${cases.length > 0 && html`<${Choices} label="Load case" options=${cases.map((c) => ({ key: c.name, says: html`${c.name} <small>${factor(c.factor)}</small>` }))} value=${here?.name ?? ""} choose=${(/** @type {string} */ k) => (state.caseName.value = k)} />`}
    ${here && html`<${OneCase} key=${here.name} c=${here} />`}
    <${Entries} title="Loads and how it is held, in job.toml" of=${["load", "strength"]} hints=${["load.push.on", "load.push.at", "load.push.push", "load.push.force", "strength.held", "strength.doors", "strength.rules", "strength.safety", "strength.bolt_grade"]} />`;
}

/** @param {number | null} f */
const factor = (f) => (f === null ? "∞" : `× ${number(f, 2)}`);

/** @param {{ c: Case }} props */
function OneCase({ c }) {
  const short = c.factor !== null && c.factor < 1;
  return html`<section class="case" aria-label=${`Case ${c.name}`}>
    <p>${c.says}</p>
    <p class="verdict" data-level=${short ? (c.must ? "must" : "look") : "good"}>
      <b>${short ? "■ Short of it" : "✓ Stands it"}: ${factor(c.factor)} the load.</b> Decided by ${c.governs}.${c.stable ? "" : " The frame gives way before the load is on."}</p>
    <table><caption>How much of each is used</caption><tbody>
      ${c.uses.map((u) => html`<tr><th scope="row">${u.name}</th><td>${u.where}</td><td class="num">${u.share === null ? "–" : `${number(100 * u.share, 0)} %`}</td><td class="use"><${Used} share=${u.share ?? 0} /></td></tr>`)}
      <tr><th scope="row">Folds up at, at least</th><td></td><td class="num">${factor(c.collapse)}</td><td></td></tr>
      <tr><th scope="row">Buckles as a whole at</th><td></td><td class="num">${factor(c.buckling)}</td><td></td></tr>
    </tbody></table>
    <p>Moves most at ${c.shift.where}: <${Len} mm=${c.shift.share} />.${c.hinge ? ` Hinge ${kN(c.hinge)}` : ""}${c.latch ? `, latch ${kN(c.latch)}.` : ""}</p>
    <p class="hint">Case by ${c.source}.</p>
  </section>`;
}

/** How much is used, against all of it: the upright line. @param {{ share: number }} props */
function Used({ share }) {
  return html`<svg class="used" viewBox="0 0 150 14" preserveAspectRatio="none" aria-hidden="true"><rect y="2" width=${Math.min(1.5, share) * 100} height="10" class=${share > 1 ? "over" : ""} /><path d="M100 0v14" /></svg>`;
}

/** @param {number} n */
const kN = (n) => `${number(n / 1000, 2)} kN (${number(n / 4.4482216152605, 0)} lbf)`;
