// Operation 4: each plate flat, with what every edge measures, and folded in the view.
import { html, useLayoutEffect, useRef, useState } from "../../vendor/ui.js";
import { Entries } from "../entries.js";
import { Choices, Chosen, Len } from "../parts.js";
import { both, number, tape } from "../shop.js";
import * as state from "../state.js";
import { Trims } from "../trims.js";

/** @import { Hardware, Plate, Point } from "../types.js" */

export function Plates() {
  const { parts, hardware } = state.plates.value;
  const part = parts.find((p) => p.name === state.chosen.value) ?? null;
  const leaves = [...new Set(state.entries.value.flatMap((e) => /^leaf\.([^.]+)\./.exec(e.entry)?.[1] ?? []))];
  const of = ["sheet", "plate", "fitting", ...leaves.flatMap((l) => ["hinge", "latch", "striker"].map((p) => `leaf.${l}.${p}`))];
  return html`
    <${Choices} label="Made of" options=${[{ key: "board", says: "Board, for the mock-up" }, { key: "metal", says: "Metal" }]} value=${state.stage.value} choose=${(/** @type {"board" | "metal"} */ k) => (state.stage.value = k)} />
    ${parts.length > 0 && html`<${List} parts=${parts} part=${part} />`}
    <${Trims} of="part" names=${parts.filter((p) => !p.twin_of).map((p) => p.name)} />
    ${hardware.length > 0 && html`<${Bought} hardware=${hardware} />`}
    <${Entries} title="Sheets, plates and fittings in job.toml" of=${of} hints=${["sheet.main.thickness", "sheet.main.material", "sheet.main.kerf", "sheet.main.radius", ...leaves.flatMap((l) => [`leaf.${l}.hinge.fitting`, `leaf.${l}.latch.fitting`])]} />`;
}

/** @param {{ parts: Plate[], part: Plate | null }} props */
function List({ parts, part }) {
  return html`<table class="plates">
    <thead><tr><th scope="col">Plate</th><th scope="col" class="num">Thick</th><th scope="col" class="num">Folds</th><th scope="col" class="num">Holes</th></tr></thead>
    <tbody>${parts.map((p) => html`<${Chosen} key=${p.name} name=${p.name} here=${p === part} wide=${4} cells=${html`<td class="num">${tape(p.thickness, state.unit.value)}</td><td class="num">${p.folds.length || "–"}</td><td class="num">${p.holes.length || "–"}</td>`}>
      ${p === part && html`<${Flat} part=${part} />`}
    </${Chosen}>`)}</tbody>
  </table>`;
}

/** One edge of a loop: where it runs, and what it measures. @param {Point} a @param {Point} b */
function run(a, b) {
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const chord = Math.hypot(dx, dy);
  const bulge = a[2];
  if (Math.abs(bulge) < 1e-12) return { d: `M${a[0]} ${-a[1]}L${b[0]} ${-b[1]}`, long: chord, radius: 0, angle: 0 };
  const angle = 4 * Math.atan(bulge);
  const radius = chord / 2 / Math.abs(Math.sin(angle / 2));
  const [large, sweep] = [Math.abs(angle) > Math.PI ? 1 : 0, angle < 0 ? 1 : 0];
  return { d: `M${a[0]} ${-a[1]}A${radius} ${radius} 0 ${large} ${sweep} ${b[0]} ${-b[1]}`, long: radius * Math.abs(angle), radius, angle };
}

/** @param {Point[]} loop */
const runs = (loop) => loop.map((a, i) => run(a, /** @type {Point} */ (loop[(i + 1) % loop.length])));

/** The flat pattern; every edge says what it measures when it is pointed at or stepped to. @param {{ part: Plate }} props */
function Flat({ part }) {
  const unit = state.unit.value;
  const [says, setSays] = useState("");
  const [drawing, mm] = useScale(part);
  const xs = part.outline.map((v) => v[0]);
  const ys = part.outline.map((v) => -v[1]);
  const [x0, x1, y0, y1] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const pad = 0.08 * Math.max(x1 - x0, y1 - y0) + 6;
  const box = [x0 - pad, y0 - pad, x1 - x0 + 2 * pad, y1 - y0 + 2 * pad];
  /** @param {{ long: number, radius: number, angle: number }} r */
  const words = (r) => (r.radius ? `arc, radius ${shown(r.radius)}, ${number(Math.abs((r.angle * 180) / Math.PI), 1)}°` : `edge ${shown(r.long)}`);
  const shown = (/** @type {number} */ mm) => `${tape(mm, unit)} ${unit} (${both(mm, unit)})`;
  const edge = (/** @type {any} */ r, /** @type {string} */ cls, /** @type {string} */ text) =>
    html`<path d=${r.d} class=${cls} /><path d=${r.d} class="hit" tabindex="-1" onPointerEnter=${() => setSays(text)} onPointerDown=${() => setSays(text)}><title>${text}</title></path>`;
  return html`<section class="flat" aria-label=${`Flat pattern of ${part.name}`}>
    <h3>${part.name} ${part.twin_of && html`<small>twin of ${part.twin_of}</small>`}</h3>
    <dl class="facts">
      <div><dt>Plate</dt><dd><${Len} mm=${part.thickness} /> ${part.material}</dd></div>
      <div><dt>Over all, flat</dt><dd>${tape(x1 - x0, unit)} × ${tape(y1 - y0, unit)} ${unit}</dd></div>
    </dl>
    <svg ref=${drawing} viewBox=${box.join(" ")} role="img" aria-label=${`Outline with ${part.holes.length} holes and ${part.folds.length} folds, its ${part.corners.length} corners numbered`}>
      <path class="skin" d=${whole(part.outline) + part.holes.map(whole).join("")} fill-rule="evenodd" />
      ${part.etch.filter((e) => e.path.length > 1).map((e) => html`<path class="etch" d=${`M${e.path.map(([x, y]) => `${x} ${-y}`).join("L")}`} />`)}
      ${part.folds.map((f) => edge({ d: `M${f.start[0]} ${-f.start[1]}L${f.end[0]} ${-f.end[1]}` }, "fold", `fold ${f.angle > 0 ? "up" : "down"} ${number(Math.abs(f.angle), 1)}°, inside radius ${shown(f.radius)}`))}
      ${part.holes.flatMap((h) => hole(h, shown).map(({ r, text }) => edge(r, "hole", text)))}
      ${runs(part.outline).map((r) => edge(r, "cut", words(r)))}
      ${numbers(part, mm).map(({ x, y, text }) => html`<text class="corner" x=${x} y=${y} font-size=${NUMBER * mm} stroke-width=${4 * mm} text-anchor="middle" dominant-baseline="central">${text}</text>`)}
    </svg>
    <p class="hover" role="status">${says || "Point at an edge, hole or fold to see what it measures."}</p>
    ${part.folds.length > 0 && html`<table><caption>Folds, as seen in the drawing</caption>
      <thead><tr><th scope="col">Fold</th><th scope="col">Which way</th><th scope="col" class="num">Inside radius</th></tr></thead>
      <tbody>${part.folds.map((f, i) => html`<tr><th scope="row">${i + 1}</th><td>${f.angle > 0 ? "up" : "down"} ${number(Math.abs(f.angle), 1)}°</td><td class="num">${tape(f.radius, unit)} ${unit}</td></tr>`)}</tbody>
    </table>`}
  </section>`;
}

/** Of the corners' numbers, in CSS pixels: their height, how far out they stand, how near two may be. */
const [NUMBER, OUT, APART] = [15, 13, 20];

/** A drawing, and how many of its millimetres a CSS pixel is wide however large it is shown. @param {Plate} part */
function useScale(part) {
  const drawing = useRef(/** @type {SVGSVGElement | null} */ (null));
  const [mm, setMm] = useState(0);
  useLayoutEffect(() => {
    const here = drawing.current;
    if (!here) return;
    const look = () => setMm(1 / (here.getScreenCTM()?.a || 1));
    const seen = new ResizeObserver(look);
    seen.observe(here);
    look();
    return () => seen.disconnect();
  }, [part]);
  return /** @type {const} */ ([drawing, mm]);
}

/** The corners' numbers, which trims go by, outside their corners; those too near are written together. @param {Plate} part @param {number} mm of a CSS pixel */
function numbers(part, mm) {
  /** @type {{ x: number, y: number, text: string }[]} */
  const spots = [];
  for (const { n, at, out } of part.corners) {
    const [x, y] = [at[0] + OUT * mm * out[0], -at[1] - OUT * mm * out[1]];
    const near = spots.find((s) => Math.hypot(s.x - x, s.y - y) < APART * mm);
    if (near) near.text += `,${n}`;
    else spots.push({ x, y, text: String(n) });
  }
  return spots;
}

/** @param {Point[]} loop */
function whole(loop) {
  const steps = runs(loop).map((r, i) => (i ? r.d.replace(/^M[^LA]*/, "") : r.d));
  return `${steps.join("")}Z`;
}

/** A round hole says its diameter; any other one what each edge measures. @param {Point[]} loop @param {(mm: number) => string} shown */
function hole(loop, shown) {
  const all = runs(loop);
  const first = all[0];
  const round = first && all.every((r) => r.radius && Math.abs(r.radius - first.radius) < 1e-6) && Math.abs(all.reduce((s, r) => s + r.angle, 0)) > 6.28;
  const text = (/** @type {{ long: number, radius: number }} */ r) => (round && first ? `hole, diameter ${shown(2 * first.radius)}` : r.radius ? `slot end, radius ${shown(r.radius)}` : `slot edge ${shown(r.long)}`);
  return all.map((r) => ({ r, text: text(r) }));
}

/** @param {{ hardware: Hardware[] }} props */
function Bought({ hardware }) {
  return html`<details><summary>Bought and turned parts <small>${hardware.length}</small></summary>
    <ul class="bought">${hardware.map((h) => html`<li><b>${h.name}</b> ${h.what}</li>`)}</ul>
  </details>`;
}
