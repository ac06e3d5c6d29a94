import { html } from "../../vendor/ui.js";

export function Strength() {
  return html`<p>This version does not work this out.</p>`;
}
