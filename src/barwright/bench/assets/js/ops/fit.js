// Operation 5: whether it goes together the first time, how sure that is, and what decides it.
import { html } from "../../vendor/ui.js";
import { Entries } from "../entries.js";
import { fine, number, tape } from "../shop.js";
import * as state from "../state.js";

/** @import { Drawn, Gap, Hinge } from "../types.js" */

export function Fit() {
  const hinges = state.fits.value?.hinges ?? [];
  const leaves = [...new Set(state.leaves.value.map((l) => l.twin_of || l.leaf))];
  return html`
    ${hinges.map((h) => html`<${OneHinge} key=${h.leaf} h=${h} />`)}
    ${!hinges.length && html`<p>No hinge whose sizes are known yet. A leaf's hinge brings its own; or write them under [fit.LEAF].</p>`}
    <${Entries} title="What the shop holds, in job.toml" of=${["fit", "tolerance"]} hints=${leaves.flatMap((l) => ["running", "end_float", "play", "press", "weld_near"].map((f) => `fit.${l}.${f}`))} />`;
}

/** @param {{ h: Hinge }} props */
function OneHinge({ h }) {
  const unit = state.unit.value;
  return html`<section class="hinge" aria-label=${`Hinge of ${h.leaf}`}>
    <h3>Hinge of ${h.leaf} <small>running fit ${h.running}</small></h3>
    ${h.gaps.map((g) => html`<${OneGap} key=${g.name} g=${g} unit=${unit} />`)}
    <p>The free end, ${tape(h.reach, unit)} ${unit} out, can be lifted or dropped by <b>${fine(h.play, unit)} ${unit}</b> at the very worst${h.play_drawn ? `, ${fine(h.play_drawn.high, unit)} ${unit} in all but one of a thousand` : ""}.
      The bolt has <b>${fine(h.bolt_in_hole, unit)} ${unit}</b> in its hole.</p>
    <details><summary>Sizes this rests on</summary><table><tbody>${h.sizes.map(([n, mm]) => html`<tr><th scope="row">${n}</th><td class="num">${tape(mm, unit)}</td><td class="num">${fine(mm, unit)} ${unit}</td></tr>`)}</tbody></table></details>
  </section>`;
}

/** A gap: how far it can go at worst, how far it does in nearly all builds, and where nothing is. @param {{ g: Gap, unit: "in" | "mm" }} props */
function OneGap({ g, unit }) {
  const low = Math.min(0, g.least);
  const high = Math.max(g.most, 0.001);
  const x = (/** @type {number} */ v) => 20 + (560 * (v - low)) / (high - low);
  const wrong = g.least < 0;
  return html`<figure class="gapline">
    <figcaption><b>${g.name}</b> ${fine(g.least, unit)} to ${fine(g.most, unit)} ${unit} ${wrong ? html`<b class="level" data-level="look">◆ can be less than nothing</b>` : ""}</figcaption>
    <svg viewBox="0 0 600 34" role="img" aria-label=${`${g.name}: worst case ${fine(g.least, unit)} to ${fine(g.most, unit)} ${unit}`}>
      <path class="zero" d=${`M${x(0)} 2V32`} /><rect class="worst" x=${x(g.least)} y="13" width=${Math.max(2, x(g.most) - x(g.least))} height="8" />
      ${g.drawn && html`<rect class="likely" x=${x(g.drawn.low)} y="9" width=${Math.max(2, x(g.drawn.high) - x(g.drawn.low))} height="16" />`}
      ${g.nominal >= g.least && g.nominal <= g.most && html`<path class="nominal" d=${`M${x(g.nominal)} 5V29`} />`}
    </svg>
    ${g.drawn && html`<${Decides} d=${g.drawn} />`}
  </figure>`;
}

/** @param {{ d: Drawn }} props */
function Decides({ d }) {
  return html`<p class="hint">${chance(d)} of builds have any at all. What decides it: ${d.shares.map(([n, s]) => `${n} ${number(100 * s, 0)} %`).join(", ")}.</p>`;
}

/** @param {Drawn} d */
const chance = (d) => (d.chance > 0.9995 ? "More than 99.9 %" : `${number(100 * d.chance, 1)} % (${number(100 * d.chance_low, 1)} to ${number(100 * d.chance_high, 1)})`);
