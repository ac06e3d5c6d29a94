// Operation 3: open the leaf by hand and see what it comes near.
import { html } from "../../vendor/ui.js";
import { Entries } from "../entries.js";
import { Choices, Len } from "../parts.js";
import { length, tape, turn } from "../shop.js";
import * as state from "../state.js";

/** @import { Leaf } from "../types.js" */

export function Swing() {
  const leaf = state.leaf.value;
  const of = ["leaf", "twin"];
  const leaves = [...new Set(state.entries.value.flatMap((e) => /^leaf\.([^.]+)\./.exec(e.entry)?.[1] ?? []))];
  const except = leaves.flatMap((l) => ["hinge", "latch", "striker"].map((p) => `leaf.${l}.${p}`));
  return html`
    ${state.leaves.value.length > 1 && html`<${Choices} label="Leaf" options=${state.leaves.value.map((l) => ({ key: l.leaf, says: l.leaf }))} value=${leaf?.leaf ?? ""} choose=${(/** @type {string} */ k) => (state.leafName.value = k)} />`}
    ${leaf && html`<${OneLeaf} key=${leaf.leaf} leaf=${leaf} />`}
    <${Entries} title="What swings, in job.toml" of=${of} except=${except} hints=${["leaf.side.bars", "leaf.side.axis.through", "leaf.side.axis.along", "leaf.side.opens", "twin.of"]} />`;
}

/** @param {{ leaf: Leaf }} props */
function OneLeaf({ leaf }) {
  const far = Math.abs(leaf.opens);
  const turnBy = (/** @type {Event} */ e) => (state.angle.value = Number(/** @type {HTMLInputElement} */ (e.currentTarget).value));
  return html`<section class="leaf" aria-label=${`Leaf ${leaf.leaf}`}>
    <${Verdict} leaf=${leaf} />
    <label class="slider">Open <output>${turn(state.angle.value)}</output>
      <input type="range" min="0" max=${far} step="0.5" value=${state.angle.value} onInput=${turnBy} aria-valuetext=${`${turn(state.angle.value)}, ${gapWords(leaf)}`} />
    </label>
    <${Gap} leaf=${leaf} />
    ${state.curves.value[leaf.leaf] && html`<${Plot} leaf=${leaf} />`}
  </section>`;
}

/** @param {{ leaf: Leaf }} props */
function Verdict({ leaf }) {
  if (leaf.contact !== null && leaf.contact !== undefined) {
    return html`<p class="verdict" data-level="must"><b>■ Stops at ${turn(leaf.contact, 2)}.</b> ${leaf.touches?.join(" strikes ")}. It should open to ${turn(Math.abs(leaf.opens))}.</p>`;
  }
  if (leaf.least === null || leaf.least === undefined) return html`<p class="verdict">Nothing stands near it.</p>`;
  return html`<p class="verdict" data-level="good"><b>✓ Opens freely to ${turn(Math.abs(leaf.opens))}.</b> Nearest: <${Len} mm=${leaf.least} /> at ${turn(leaf.at ?? 0)}, ${leaf.pair?.join(" from ")}.</p>`;
}

/** The gap at an angle, straight between the angles it was worked out at. @param {Leaf} leaf @param {number} angle */
export function gapAt(leaf, angle) {
  const c = state.curves.value[leaf.leaf];
  if (!c || !c.angle.length) return null;
  const i = Math.max(1, c.angle.findIndex((a) => a >= angle));
  const [a, b] = [c.angle[i - 1] ?? 0, c.angle[i] ?? 0];
  const [g, h] = [c.gap[i - 1] ?? null, c.gap[i] ?? null];
  if (g === null || h === null || b <= a) return h ?? g;
  return g + ((h - g) * Math.min(1, Math.max(0, (angle - a) / (b - a))));
}

/** @param {Leaf} leaf */
function gapWords(leaf) {
  const gap = gapAt(leaf, state.angle.value);
  return gap === null ? "" : gap <= 0 ? "touching" : `${length(gap, state.unit.value)} clear`;
}

/** What is nearest to what at the angle worked out next to this one. @param {Leaf} leaf @param {number} angle */
function nearest(leaf, angle) {
  const c = state.curves.value[leaf.leaf];
  if (!c) return null;
  const off = c.angle.map((a) => Math.abs(a - angle));
  return c.pairs[off.indexOf(Math.min(...off))] ?? null;
}

/** @param {{ leaf: Leaf }} props */
function Gap({ leaf }) {
  const gap = gapAt(leaf, state.angle.value);
  if (gap === null) return null;
  const pair = nearest(leaf, state.angle.value);
  return html`<p class="gap" role="status">${gap <= 0 ? html`<b class="level" data-level="must">■ touching</b>` : html`Clear by <${Len} mm=${gap} />`}
    ${pair && html`<span class="pair">${pair[0]} ${gap <= 0 ? "strikes" : "from"} ${pair[1]}</span>`}</p>`;
}

/** Clearance against angle; tap or drag it to open the leaf there. @param {{ leaf: Leaf }} props */
function Plot({ leaf }) {
  const unit = state.unit.value;
  const c = state.curves.value[leaf.leaf];
  if (!c) return null;
  const far = Math.abs(leaf.opens) || 1;
  const gaps = c.gap.map((g) => g ?? 0);
  const top = Math.max(10, ...gaps) * 1.1;
  const [x, y] = [(/** @type {number} */ a) => 60 + (a / far) * 520, (/** @type {number} */ g) => 170 - (g / top) * 150];
  const line = c.angle.map((a, i) => `${i ? "L" : "M"}${x(a).toFixed(1)} ${y(gaps[i] ?? 0).toFixed(1)}`).join("");
  /** @param {PointerEvent} e */
  const go = (e) => {
    if (e.type === "pointermove" && !e.buttons) return;
    const box = /** @type {SVGElement} */ (e.currentTarget).getBoundingClientRect();
    const at = (((e.clientX - box.left) / box.width) * 600 - 60) / 520;
    state.angle.value = Math.min(far, Math.max(0, Math.round(at * far * 2) / 2));
  };
  const here = Math.min(far, state.angle.value);
  return html`<figure class="plot">
    <svg viewBox="0 0 600 210" onPointerDown=${go} onPointerMove=${go} role="img" aria-label=${`Clearance over the swing, ${length(gaps[0] ?? 0, unit)} closed, at least ${length(Math.min(...gaps), unit)}`}>
      <path class="axis" d="M60 14V170H584" />
      ${[0, 0.25, 0.5, 0.75, 1].map((s) => html`<text x=${x(s * far)} y="190" text-anchor="middle">${turn(s * far, 0)}</text><path class="tick" d=${`M${x(s * far)} 170v6`} />`)}
      ${[0, 0.5, 1].map((s) => html`<text x="52" y=${y(s * top) + 5} text-anchor="end">${tape(s * top, unit, 4)}</text>`)}
      <path class="curve" d=${line} />
      <path class="cursor" d=${`M${x(here)} 14V170`} /><circle class="cursor" cx=${x(here)} cy=${y(gapAt(leaf, here) ?? 0)} r="7" />
    </svg>
    <figcaption>Clearance to everything that stands, ${unit}, against how far it is open.${state.old("curves") && html` <b>From before the last edit.</b>`}</figcaption>
  </figure>`;
}
