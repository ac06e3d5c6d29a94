// Operation 5: whether it goes together the first time, how sure that is, and what decides it.
import { html } from "../../vendor/ui.js";
import { Entries } from "../entries.js";
import { fine, number, tape } from "../shop.js";
import * as state from "../state.js";

/** @import { Drawn, FirstFit, Gap, Hinge } from "../types.js" */

export function Fit() {
  const hinges = state.fits.value?.hinges ?? [];
  const leaves = [...new Set(state.leaves.value.map((l) => l.twin_of || l.leaf))];
  const first = state.fits.value?.first ?? null;
  return html`
    ${first && html`<${First} f=${first} />`}
    ${hinges.map((h) => html`<${OneHinge} key=${h.leaf} h=${h} />`)}
    ${!hinges.length && html`<p>No hinge whose sizes are known yet. A leaf's hinge brings its own; or write them under [fit.LEAF].</p>`}
    <${Entries} title="What the shop holds, in job.toml" of=${["fit", "tolerance"]} hints=${leaves.flatMap((l) => ["running", "end_float", "play", "press", "weld_near"].map((f) => `fit.${l}.${f}`))} />`;
}

/** @param {number} share */
const percent = (share) => `${number(100 * share, share > 0.99 || share < 0.01 ? 1 : 0)} %`;

/** @param {{ f: FirstFit }} props */
function First({ f }) {
  const unit = state.unit.value;
  if (f.chance === null) return html`<p>${f.why}</p>`;
  const good = f.chance >= f.target;
  return html`<section class="firstfit" aria-label="Chance of first-time fit">
    <p class="verdict" data-level=${good ? "good" : "look"}><b>${good ? "✓" : "◆"} ${percent(f.chance)}</b> that ${f.about} ${good ? "fits" : "will fit"} the first time, without trimming. <small>± ${percent(f.error)} from ${f.samples} builds drawn</small></p>
    ${f.trimmed !== null && f.trimmed > f.chance + 0.005 && html`<p>With ${f.trim.map((t) => t.bar).join(" and ")} trimmed last, in place: <b>${percent(f.trimmed)}</b>.</p>`}
    ${f.decides.length > 0 && html`<table><caption>What decides it</caption>
      <thead><tr><th scope="col">Where the doubt comes from</th><th scope="col">Share</th><th scope="col" class="num">Were it none</th></tr></thead>
      <tbody>${f.decides.slice(0, 8).map((d) => html`<tr key=${d.name}><th scope="row">${d.name.replaceAll("_", " ")}</th><td class="use"><${Bar} share=${d.share} /></td><td class="num">+${percent(d.gain)}</td></tr>`)}</tbody>
    </table>`}
    <${Advice} f=${f} />
    <details><summary>Each gap that has to come out right <small>${f.gaps.length}</small></summary>
      <table><thead><tr><th scope="col">Gap</th><th scope="col" class="num">Drawn, ${unit}</th><th scope="col" class="num">±</th><th scope="col" class="num">Chance</th></tr></thead>
      <tbody>${f.gaps.map((g) => html`<tr><th scope="row">${g.name}</th><td class="num">${fine(g.nominal, unit)}</td><td class="num">${fine(g.sd, unit)}</td><td class="num">${percent(g.chance)}</td></tr>`)}</tbody></table>
    </details>
    <details><summary>What is not in this number</summary><ul class="plain">${[...f.leaves_out, ...f.notes].map((n) => html`<li>${n}</li>`)}</ul></details>
  </section>`;
}

/** @param {string} bar @param {number} amount @param {"in" | "mm"} unit */
const left = (bar, amount, unit) =>
  amount < 0.05 ? `Trim ${bar} in place before it is welded` : `Leave ${bar} ${fine(amount, unit)} ${unit} long at each fitted end and trim it in place`;

/** What would raise the chance, in the order of what it brings. @param {{ f: FirstFit }} props */
function Advice({ f }) {
  const unit = state.unit.value;
  const lines = [
    ...f.again.slice(0, 4).map((a) => `Take ${a.kind} ${a.marks.join(" ")}${a.line ? ` again (line ${a.line})` : ""}: +${percent(a.gain)}.`),
    ...f.trim.filter((t) => t.after > t.before + 0.005).slice(0, 4).map((t) => `${left(t.bar, t.amount, unit)}: ${percent(t.before)} to ${percent(t.after)}.`),
    ...f.open.slice(0, 4).map((o) => `Open ${o.what} by ${fine(o.by, unit)} ${unit}: +${percent(o.gain)}.`),
  ];
  if (!lines.length) return null;
  return html`<div><h3>What would raise it</h3><ul class="plain">${lines.map((l) => html`<li>${l}</li>`)}</ul></div>`;
}

/** @param {{ share: number }} props */
export function Bar({ share }) {
  const wide = Math.max(0, Math.min(1, share)) * 100;
  return html`<span class="share"><svg viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true"><rect width="100" height="10" class="all" /><rect width=${wide} height="10" /></svg> ${percent(share)}</span>`;
}

/** @param {{ h: Hinge }} props */
function OneHinge({ h }) {
  const unit = state.unit.value;
  return html`<section class="hinge" aria-label=${`Hinge of ${h.leaf}`}>
    <h3>Hinge of ${h.leaf} <small>running fit ${h.running}</small></h3>
    ${h.gaps.map((g) => html`<${OneGap} key=${g.name} g=${g} unit=${unit} />`)}
    <p class="hint">The upright line is nothing; the open bar is how far it can go at the very worst, the filled one in all but three of a thousand builds, the stroke as drawn.</p>
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
