// The job card: its head, and the operations numbered down the page.
import { html, useComputed, useEffect, useLayoutEffect, useRef } from "../vendor/ui.js";
import { Empty } from "./empty.js";
import { Findings } from "./findings.js";
import { Build } from "./ops/build.js";
import { Fit } from "./ops/fit.js";
import { Make } from "./ops/make.js";
import { Measure } from "./ops/measure.js";
import { Plates } from "./ops/plates.js";
import { Strength } from "./ops/strength.js";
import { Swing } from "./ops/swing.js";
import { Tubes } from "./ops/tubes.js";
import { helping, phoning } from "./panels.js";
import { FaultList } from "./parts.js";
import * as state from "./state.js";
import { step } from "./wire.js";

/** @import { Op } from "./types.js" */

/** The operations, in the order of the work. */
export const OPS = [
  { key: "measure", name: "Measure", body: Measure, does: "Tape the vehicle; every mark gets its place and its doubt." },
  { key: "tubes", name: "Tubes", body: Tubes, does: "Each tube's cut, bends and coped ends." },
  { key: "swing", name: "Swing", body: Swing, does: "What moves, and what it meets on its way." },
  { key: "plates", name: "Plates", body: Plates, does: "Hinge, latch and gussets, flat and folded." },
  { key: "fit", name: "Fit", body: Fit, does: "Whether pins, bushings and spacers go together." },
  { key: "strength", name: "Strength", body: Strength, does: "What it stands, under which load." },
  { key: "build", name: "Build", body: Build, does: "In what order it goes together." },
  { key: "make", name: "Make", body: Make, does: "Everything the shop needs, to take away." },
];

const STATES = {
  must: { sign: "■", says: "must" },
  look: { sign: "◆", says: "to look at" },
  good: { sign: "✓", says: "right" },
  none: { sign: "○", says: "nothing yet" },
};

export function JobCard() {
  return html`<article class="card" aria-label="Job card">
    <${Head} />
    <${Trouble} />
    ${state.empty.value && html`<${Empty} />`}
    <ol class="ops">
      ${OPS.map((op, i) => html`<${Operation} key=${op.key} op=${op} n=${i + 1} />`)}
    </ol>
    <footer class="caution">
      <strong>Caution.</strong> ${state.about.value.caution || "Arithmetic on what was measured, not an approval."}
    </footer>
  </article>`;
}

function Head() {
  const { undo, redo } = state.history.value;
  const name = state.jobName.value || state.about.value.folder;
  useEffect(() => {
    document.title = `${name || "Job"} · job card`;
  }, [name]);
  return html`<header class="head">
    <p class="kind">Job card</p>
    <h1>${name || "…"}</h1>
    <dl>
      <div><dt>Folder</dt><dd>${state.about.value.folder}</dd></div>
      <div><dt>Bare numbers are</dt><dd>${state.unit.value === "in" ? "inches" : "millimetres"}</dd></div>
      <div><dt>Now</dt><dd><${Now} /></dd></div>
    </dl>
    <div class="steps">
      <button type="button" disabled=${!undo} onClick=${() => step("undo")}>
        Undo <small>${undo ?? "nothing"}</small>
      </button>
      <button type="button" disabled=${!redo} onClick=${() => step("redo")}>
        Redo <small>${redo ?? "nothing"}</small>
      </button>
      <button type="button" class="slim" onClick=${() => (phoning.value = true)}>Phone</button>
      <button type="button" class="slim" onClick=${() => print()}>Print</button>
      <button type="button" class="slim" onClick=${() => (helping.value = true)}>Keys</button>
    </div>
  </header>`;
}

/** What is going on, in words that are read out when they change. */
function Now() {
  const { what, share, faults, version } = state.status.value;
  const busy = state.working.value;
  const says = !state.connected.value
    ? "no answer from the bench; trying again"
    : busy
      ? `working out ${what || "the last of it"}`
      : faults.length
        ? "stopped: see below"
        : "up to date";
  return html`<span role="status" class="now" data-busy=${busy} data-version=${version}>${says}</span>
    ${busy && html`<progress max="1" value=${share} aria-label="How far"></progress>`}`;
}

/** What is wrong in the files; what is shown below is then from before. */
function Trouble() {
  const faults = state.status.value.faults;
  if (!faults.length) return null;
  return html`<section class="trouble" aria-label="Wrong in the job's files">
    <h2>${faults.length === 1 ? "One thing has" : `${faults.length} things have`} to be put right</h2>
    <${FaultList} faults=${faults} />
    ${Object.keys(state.ops.value).some(state.old) && html`<p>Below is the last good result, from before this.</p>`}
  </section>`;
}

/** @param {{ op: typeof OPS[number], n: number }} props */
function Operation({ op, n }) {
  const open = state.open.value === op.key;
  const said = useComputed(() => state.ops.value[op.key]).value;
  const old = useComputed(() => state.old(op.key)).value;
  const again = old && state.working.value;
  const here = useRef(/** @type {HTMLElement | null} */ (null));
  // before it is painted, so that nothing moves away under a finger that is quick
  useLayoutEffect(() => {
    if (open && state.opened.value) here.current?.scrollIntoView({ block: "start" });
  }, [open]);
  const toggle = () => {
    state.opened.value = true;
    state.open.value = open ? "" : op.key;
    globalThis.history.replaceState(null, "", `#${state.open.value}`);
  };
  return html`<li class="op" ref=${here} data-open=${open} data-state=${said?.state ?? "none"} data-again=${again}>
    <h2>
      <button type="button" id=${`op-${op.key}`} aria-expanded=${open} aria-controls=${`body-${op.key}`} onClick=${toggle}>
        <span class="n">${n}</span>
        <span class="name">${op.name}</span>
        <span class="evidence">${said?.evidence || op.does}</span>
        <${Stamp} said=${said} again=${again} />
      </button>
    </h2>
    ${open && html`<div class="body" id=${`body-${op.key}`} data-stale=${old}>
      ${old && said && !again && html`<p class="stale">From before the last edit.</p>`}
      <${Owed} said=${said} />
      <${op.body} />
      <${Findings} findings=${said?.findings ?? []} />
    </div>`}
  </li>`;
}

/**
 * How an operation stands: a sign, a word and a count, the colour only besides. While it is worked
 * out again the last answer stays, and says so when that takes long enough to be seen.
 * @param {{ said: Op | undefined, again: boolean }} props
 */
function Stamp({ said, again }) {
  const state = said?.state ?? "none";
  const { sign, says } = STATES[state];
  const count = state === "must" ? said?.must : state === "look" ? said?.look : "";
  return html`<span class="stamp" data-state=${state}><b aria-hidden="true">${sign}</b> ${count} ${says}${again && html`<small class="again"><b aria-hidden="true">↻</b> again …</small>`}</span>`;
}

/** @param {{ said: Op | undefined }} props */
function Owed({ said }) {
  if (!said?.owed.length) return null;
  return html`<div class="owed">
    <h3>Still owed</h3>
    <ul>${said.owed.map((o) => html`<li>${o}</li>`)}</ul>
  </div>`;
}
