// Two panels over the page: the keys, and the way in for a phone.
import { html, signal, useEffect, useRef } from "../vendor/ui.js";
import { FaultList } from "./parts.js";
import { post } from "./wire.js";

/** @import { Fault } from "./types.js" */

export const helping = signal(false);
export const phoning = signal(false);

/** @param {{ open: import("../vendor/ui.js").Signal<boolean>, title: string, children?: unknown }} props */
function Panel({ open, title, children }) {
  const dialog = useRef(/** @type {HTMLDialogElement | null} */ (null));
  useEffect(() => {
    if (open.value && !dialog.current?.open) dialog.current?.showModal();
    if (!open.value && dialog.current?.open) dialog.current.close();
  }, [open.value]);
  return html`<dialog ref=${dialog} aria-label=${title} onClose=${() => (open.value = false)}>
    <h2>${title}</h2>
    ${open.value && children}
    <button type="button" onClick=${() => (open.value = false)}>Close</button>
  </dialog>`;
}

const KEYS = [
  ["1 – 8", "open that operation"],
  ["Tab, Enter", "go on, press"],
  ["Ctrl Z", "undo"],
  ["Ctrl Shift Z", "redo"],
  ["Arrows on the picture", "walk round the vehicle"],
  ["+ and − on the picture", "closer, farther"],
  ["Arrows on the slider", "open and close the leaf"],
  ["Esc", "leave a row as it was"],
];

export function Help() {
  return html`<${Panel} open=${helping} title="Keys">
    <table class="keys"><tbody>
      ${KEYS.map(([key, does]) => html`<tr><th scope="row">${key}</th><td>${does}</td></tr>`)}
    </tbody></table>
    <p>The card edits <code>job.toml</code> and <code>readings.csv</code> themselves, comments kept. An editor may be open on them at the same time.</p>
  </${Panel}>`;
}

const code = signal(/** @type {{ address: string, code: string[] } | null} */ (null));
const refused = signal(/** @type {Fault[]} */ ([]));

async function fresh() {
  const answer = await post("/phone");
  code.value = answer.ok ? answer.told : null;
  refused.value = answer.ok ? [] : answer.faults;
}

export function Phone() {
  useEffect(() => {
    if (phoning.value) fresh();
  }, [phoning.value]);
  const shown = code.value;
  return html`<${Panel} open=${phoning} title="On a phone">
    ${shown
      ? html`<p>Scan this with the phone. It lets one phone in, once.</p>
          <${Code} rows=${shown.code} />
          <p><code>${shown.address}</code></p>
          <button type="button" onClick=${fresh}>Show another, for another phone</button>`
      : html`<${FaultList} faults=${refused.value} />`}
  </${Panel}>`;
}

/** A QR code, always dark on light. @param {{ rows: string[] }} props */
function Code({ rows }) {
  const n = rows.length + 8;
  const cells = rows.flatMap((row, y) => [...row].map((c, x) => (c === "1" ? `M${x + 4} ${y + 4}h1v1h-1z` : "")));
  return html`<svg class="code" viewBox=${`0 0 ${n} ${n}`} role="img" aria-label="Code to scan" shape-rendering="crispEdges">
    <rect width=${n} height=${n} fill="#fff" /><path d=${cells.join("")} fill="#000" />
  </svg>`;
}
