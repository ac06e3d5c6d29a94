// What was found: the grave first, each with its figures, its source and what to do.
import { html, useState } from "../vendor/ui.js";
import { figure } from "./shop.js";
import * as state from "./state.js";

/** @import { Finding } from "./types.js" */

const LEVELS = {
  must: { sign: "■", says: "Must" },
  look: { sign: "◆", says: "Look" },
  good: { sign: "✓", says: "Right" },
};

/** @param {{ findings: Finding[] }} props */
export function Findings({ findings }) {
  const [all, setAll] = useState(false);
  const order = ["must", "look", "good"];
  const sorted = [...findings].sort((a, b) => order.indexOf(a.level) - order.indexOf(b.level));
  const good = sorted.filter((f) => f.level === "good").length;
  const shown = all ? sorted : sorted.filter((f) => f.level !== "good");
  if (!findings.length) return null;
  return html`<section class="findings" aria-label="Findings">
    <h3>Findings</h3>
    <ul>${shown.map((f) => html`<${One} key=${f.code + f.subject + f.says} f=${f} />`)}</ul>
    ${good > 0 && html`<button type="button" class="more" aria-expanded=${all} onClick=${() => setAll(!all)}>
      ✓ ${good} checked and right: ${all ? "hide them" : "show them"}
    </button>`}
  </section>`;
}

/** @param {{ f: Finding }} props */
function One({ f }) {
  const { sign, says } = LEVELS[f.level];
  const unit = state.unit.value;
  const name = subject(f.subject);
  const figures = [
    f.measured !== null && `measured ${figure(f.measured, f.unit, unit)}`,
    f.allowed !== null && `allowed ${figure(f.allowed, f.unit, unit)}`,
  ].filter(Boolean);
  return html`<li data-level=${f.level}>
    <p class="says"><b class="level"><span aria-hidden="true">${sign}</span> ${says}</b> ${f.says}</p>
    ${f.remedy && html`<p class="remedy"><b>Do:</b> ${f.remedy}</p>`}
    <p class="by">${[figures.join(", "), f.source && `by ${f.source}`, f.code].filter(Boolean).join(" · ")}
      ${name && html` <button type="button" class="show" onClick=${() => show(f.subject, name)}>Show ${name}</button>`}</p>
  </li>`;
}

/** The thing a finding is about, if the view can show it. @param {string} subject */
function subject(subject) {
  const bare = subject.replace(/^(bar|part|mark|leaf|plate)[. ]/, "");
  const known =
    state.bars.value.some((b) => b.name === bare) ||
    state.plates.value.parts.some((p) => p.name === bare) ||
    state.measured.value?.marks.some((m) => m.name === bare);
  const line = /readings\.csv line (\d+)/.exec(subject)?.[1];
  return known ? bare : line ? `line ${line}` : "";
}

/** @param {string} subject @param {string} name */
function show(subject, name) {
  const line = /line (\d+)/.exec(subject)?.[1];
  if (line) {
    state.line.value = Number(line);
    document.getElementById(`row-${line}`)?.scrollIntoView({ block: "center" });
  } else {
    state.chosen.value = name;
  }
}
