// What job.toml says about an operation, value by value, as written: the same file an editor sees.
import { html, useState } from "../vendor/ui.js";
import { FaultList, field } from "./parts.js";
import * as state from "./state.js";
import { edit } from "./wire.js";

/** @import { Entry, Fault } from "./types.js" */

/**
 * @param {{ title?: string, of: string[], except?: string[], hints?: string[], open?: boolean }} props
 *   `of` and `except` are the beginnings of entries; `hints` are entries that could be added.
 */
export function Entries({ title = "Written in job.toml", of, except = [], hints = [], open = false }) {
  const begins = (/** @type {string} */ e, /** @type {string[]} */ some) => some.some((s) => e === s || e.startsWith(`${s}.`));
  const found = state.entries.value.filter((e) => begins(e.entry, of) && !begins(e.entry, except));
  const missing = hints.filter((h) => !found.some((e) => e.entry === h));
  return html`<details class="entries" open=${open}>
    <summary>${title} <small>${found.length} ${found.length === 1 ? "value" : "values"}</small></summary>
    <ul>${found.map((e) => html`<${One} key=${e.entry} e=${e} />`)}</ul>
    <${Add} hints=${missing} begins=${of[0] ?? ""} />
  </details>`;
}

/** One value; it is written when the field is left or Enter is pressed. @param {{ e: Entry }} props */
function One({ e }) {
  const [faults, setFaults] = useState(/** @type {Fault[]} */ ([]));
  const id = `entry-${e.entry}`;
  const shown = plain(e.value);
  /** @param {Event} event */
  const write = async (event) => {
    const at = /** @type {HTMLInputElement} */ (event.currentTarget);
    if (at.value === shown) return setFaults([]);
    const value = at.value.trim() === "" ? "" : asTyped(at.value, e.value);
    const answer = await edit({ do: "set", sets: [{ entry: e.entry, old: e.value, value }] });
    setFaults(answer.ok ? [] : answer.faults);
  };
  /** @param {KeyboardEvent} event */
  const key = (event) => {
    if (event.key !== "Escape") return;
    /** @type {HTMLInputElement} */ (event.currentTarget).value = shown;
    setFaults([]);
  };
  return html`<li>
    <label for=${id}>${e.entry}</label>
    <input id=${id} key=${shown} defaultValue=${shown} autocomplete="off" autocapitalize="off" spellcheck=${false} aria-invalid=${faults.length > 0} onChange=${write} onKeyDown=${key} />
    ${faults.length > 0 && html`<${FaultList} faults=${faults} />`}
  </li>`;
}

/** Text is shown without its quotes. @param {string} value */
function plain(value) {
  return /^"[^"\\]*"$/.test(value) ? value.slice(1, -1) : value;
}

/** What was text stays text; the rest is read as written. @param {string} typed @param {string} old */
export function asTyped(typed, old) {
  const text = old.startsWith('"') && !/^["'[{]/.test(typed.trim()) && !/^[\d.]+$/.test(typed.trim());
  return text ? JSON.stringify(typed.trim()) : typed.trim();
}

/** @param {{ hints: string[], begins: string }} props */
function Add({ hints, begins }) {
  const [faults, setFaults] = useState(/** @type {Fault[]} */ ([]));
  /** @param {SubmitEvent} event */
  const write = async (event) => {
    event.preventDefault();
    const form = /** @type {HTMLFormElement} */ (event.currentTarget);
    const [entry, value] = [field(form, "entry").trim(), field(form, "value").trim()];
    const old = state.entries.value.find((e) => e.entry === entry)?.value ?? "";
    const answer = await edit({ do: "set", sets: [{ entry, old, value }] });
    setFaults(answer.ok ? [] : answer.faults);
    if (answer.ok) form.reset();
  };
  const list = `hints-${begins}`;
  return html`<form class="add" onSubmit=${write}>
    <label>Entry <input name="entry" required list=${list} defaultValue=${begins ? `${begins}.` : ""} autocomplete="off" autocapitalize="off" spellcheck=${false} /></label>
    <datalist id=${list}>${hints.map((h) => html`<option value=${h} />`)}</datalist>
    <label>Value <input name="value" required autocomplete="off" autocapitalize="off" spellcheck=${false} /></label>
    <button>Write it</button>
    <${FaultList} faults=${faults} />
  </form>`;
}
