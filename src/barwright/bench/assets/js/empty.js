// A job without readings: what to do first.
import { html, useState } from "../vendor/ui.js";
import { FaultList } from "./parts.js";
import * as state from "./state.js";
import { post } from "./wire.js";

/** @import { Fault } from "./types.js" */

export function Empty() {
  const [faults, setFaults] = useState(/** @type {Fault[]} */ ([]));
  const heron = async () => {
    const answer = await post("/heron");
    setFaults(answer.ok ? [] : answer.faults);
  };
  return html`<section class="first" aria-label="What to do first">
    <h2>Begin at the vehicle</h2>
    <ol>
      <li>Give each point you will measure to a short name, a <em>mark</em>, and chalk it on: A, B, C …</li>
      <li>Chalk a line across the floor and one down the middle. Write below, for each mark, its <em>height</em> above the floor, its <em>station</em> forward of the cross line and its <em>offset</em> left of the middle.</li>
      <li>Then tape between marks, as many ways as you can reach. What is measured twice finds mistakes.</li>
    </ol>
    ${state.about.value.heron && html`<p>Or look at a finished job first:
      <button type="button" onClick=${heron}>Put the Heron on the bench</button>
      It is our own marsh buggy. Undo takes it off again.</p>`}
    <${FaultList} faults=${faults} />
  </section>`;
}
