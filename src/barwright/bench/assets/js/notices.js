// What needs an answer: two versions of the same thing, or an edit that could not be made.
import { html } from "../vendor/ui.js";
import { FaultList } from "./parts.js";
import * as state from "./state.js";
import { dismiss, step } from "./wire.js";

/** @import { Notice } from "./types.js" */

export function Notices() {
  if (!state.notices.value.length) return null;
  return html`<section class="notices" aria-label="Notices" role="alert">
    ${state.notices.value.map((n) => html`<div class="notice" key=${n.id}>${body(n)}</div>`)}
  </section>`;
}

/** @param {Notice} n */
function body(n) {
  if (n.kind === "faults") return html`<${FaultList} faults=${n.faults} /><${Close} n=${n} says="Understood" />`;
  if (n.kind === "overwritten") return html`<${Overwritten} n=${n} />`;
  const { conflict, again } = n;
  const insist = () => {
    dismiss(n.id);
    again();
  };
  return html`<h2>Two versions of ${conflict.where} in ${conflict.file}</h2>
    <p>It was changed by an editor or another window while you worked on it. Nothing was written over.</p>
    <dl class="versions">
      <div><dt>It was</dt><dd><code>${conflict.seen || "nothing"}</code></dd></div>
      <div><dt>Theirs, in the file now</dt><dd><code>${conflict.theirs || "taken out"}</code></dd></div>
      <div><dt>Yours, not written</dt><dd><code>${conflict.yours || "take it out"}</code></dd></div>
    </dl>
    <div class="answers">
      <button type="button" onClick=${() => dismiss(n.id)}>Keep theirs</button>
      <button type="button" onClick=${insist}>Write mine over it</button>
    </div>`;
}

/** @param {{ n: Extract<Notice, { kind: "overwritten" }> }} props */
function Overwritten({ n }) {
  const back = () => {
    dismiss(n.id);
    step("undo");
  };
  return html`<h2>An editor saved ${n.file} over what you did here</h2>
    <dl class="versions">
      <div><dt>Yours, from here</dt><dd>${n.yours.map((l) => html`<code>${l}</code>`)}</dd></div>
      <div><dt>Theirs, in the file now</dt><dd>${n.theirs.length ? n.theirs.map((l) => html`<code>${l}</code>`) : "without it"}</dd></div>
    </dl>
    <p>Both are kept: Undo brings yours back, Redo theirs.</p>
    <div class="answers">
      <button type="button" onClick=${() => dismiss(n.id)}>Keep theirs</button>
      <button type="button" onClick=${back}>Put mine back</button>
    </div>`;
}

/** @param {{ n: Notice, says: string }} props */
function Close({ n, says }) {
  return html`<div class="answers"><button type="button" onClick=${() => dismiss(n.id)}>${says}</button></div>`;
}
