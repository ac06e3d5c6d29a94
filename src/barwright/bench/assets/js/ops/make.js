// Operation 8: the pack, made and taken away.
import { html, useState } from "../../vendor/ui.js";
import { FaultList } from "../parts.js";
import { size } from "../shop.js";
import * as state from "../state.js";
import { post } from "../wire.js";

/** @import { Fault, Pack } from "../types.js" */

const STAGES = /** @type {const} */ ([
  { key: "board", says: "Board", does: "The mock-up first: the same parts in board, to try on the vehicle." },
  { key: "metal", says: "Metal", does: "The real thing, once the board has fitted." },
]);

export function Make() {
  const musts = Object.values(state.ops.value).reduce((n, op) => n + op.must, 0);
  return html`
    ${musts > 0 && html`<p class="verdict" data-level="must"><b>■ ${musts} ${musts === 1 ? "finding" : "findings"} must be dealt with</b> before metal is cut. The pack says so on its first page too.</p>`}
    ${STAGES.map((s) => html`<${OneStage} key=${s.key} stage=${s} />`)}`;
}

/** @param {{ stage: typeof STAGES[number] }} props */
function OneStage({ stage }) {
  const [faults, setFaults] = useState(/** @type {Fault[]} */ ([]));
  const pack = state.packs.value[stage.key];
  const making = Boolean(pack && !pack.files && !pack.faults);
  const make = async () => {
    const answer = await post("/pack", { stage: stage.key });
    setFaults(answer.ok ? [] : answer.faults);
  };
  return html`<section class="pack" aria-label=${`Pack in ${stage.says}`}>
    <h3>${stage.says}</h3>
    <p>${stage.does}</p>
    <button type="button" disabled=${making || state.empty.value} onClick=${make}>${pack?.files ? "Make it again" : `Make the pack in ${stage.says.toLowerCase()}`}</button>
    ${making && html`<p role="status">${pack?.what} <progress max="1" value=${pack?.share ?? 0} aria-label="How far"></progress></p>`}
    <${FaultList} faults=${[...faults, ...(pack?.faults ?? [])]} />
    ${pack?.files && html`<${Files} stage=${stage.key} pack=${pack} />`}
  </section>`;
}

/** @param {{ stage: string, pack: Pack }} props */
function Files({ stage, pack }) {
  const files = pack.files ?? [];
  const first = ["pack.zip", "summary.pdf"];
  const link = (/** @type {{ name: string, bytes: number }} */ f) =>
    html`<a href=${`/pack/${stage}/${f.name.split("/").map(encodeURIComponent).join("/")}`} download=${f.name.split("/").at(-1)}>${f.name} <small>${size(f.bytes)}</small></a>`;
  /** @type {Map<string, typeof files>} */
  const folders = new Map();
  for (const f of files.filter((f) => !first.includes(f.name))) {
    const folder = f.name.split("/").slice(0, -1).join("/") || "whole";
    folders.set(folder, [...(folders.get(folder) ?? []), f]);
  }
  return html`<div class="files">
    <p class="main">${files.filter((f) => first.includes(f.name)).map(link)}</p>
    ${[...folders].map(([folder, some]) => html`<details><summary>${folder} <small>${some.length}</small></summary><ul>${some.map((f) => html`<li>${link(f)}</li>`)}</ul></details>`)}
    ${pack.left_out?.map((says) => html`<p class="hint">◆ ${says}</p>`)}
    <p class="hint">Made from job ${pack.hash?.slice(0, 12)}.</p>
  </div>`;
}
