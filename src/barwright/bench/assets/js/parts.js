// Small pieces that several operations use.
import { html, useLayoutEffect, useRef } from "../vendor/ui.js";
import { SMALL, both, length, number } from "./shop.js";
import * as state from "./state.js";

/** @import { Fault } from "./types.js" */

/** A length as a tape shows it, exactly beside. @param {{ mm: number | null | undefined, plain?: boolean }} props */
export function Len({ mm, plain }) {
  if (mm === null || mm === undefined) return html`<span>–</span>`;
  const unit = state.unit.value;
  const small = unit === "in" && Math.abs(mm) < SMALL;
  return html`<span class="len"><b>${length(mm, unit)}</b>${!plain && html` <small>${small ? `${number(mm, 1)} mm` : both(mm, unit)}</small>`}</span>`;
}

/** @param {{ faults: Fault[] }} props */
export function FaultList({ faults }) {
  return html`<ul class="faults">
    ${faults.map((f) => html`<li>
      <p class="where">${[f.file, f.line ? `line ${f.line}` : "", f.entry].filter(Boolean).join(", ")}</p>
      <dl>
        ${f.read && html`<div><dt>Read</dt><dd><code>${f.read}</code></dd></div>`}
        ${f.expected && html`<div><dt>Expected</dt><dd>${f.expected}</dd></div>`}
        ${f.do && html`<div><dt>Do</dt><dd>${f.do}</dd></div>`}
      </dl>
    </li>`)}
  </ul>`;
}

/**
 * A row of choices, one of them taken; a list of buttons rather than a menu, for large fingers.
 * @param {{ label: string, options: { key: string, says: unknown }[], value: string, choose: (key: string) => void }} props
 */
export function Choices({ label, options, value, choose }) {
  return html`<div class="choices" role="group" aria-label=${label}>
    ${options.map((o) => html`<button type="button" key=${o.key} aria-pressed=${o.key === value} onClick=${() => choose(o.key)}>${o.says}</button>`)}
  </div>`;
}

/**
 * A row that opens under itself when it is chosen, here or in the picture; chosen again, it shuts.
 * @param {{ name: string, here: boolean, wide: number, cells: unknown, children?: unknown }} props
 */
export function Chosen({ name, here, wide, cells, children }) {
  const row = useRef(/** @type {HTMLElement | null} */ (null));
  useLayoutEffect(() => {
    if (here) row.current?.scrollIntoView({ block: "nearest" });
  }, [here]);
  const choose = () => (state.chosen.value = here ? "" : name);
  return html`<tr data-here=${here}>
      <th scope="row" ref=${row}><button type="button" class="row" aria-expanded=${here} onClick=${choose}>${name}</button></th>${cells}
    </tr>
    ${here && html`<tr class="detail"><td colspan=${wide}>${children}</td></tr>`}`;
}

/** The value of a field by its name. @param {HTMLFormElement} form @param {string} name */
export function field(form, name) {
  const found = form.elements.namedItem(name);
  return found instanceof HTMLInputElement || found instanceof HTMLSelectElement ? found.value : "";
}
