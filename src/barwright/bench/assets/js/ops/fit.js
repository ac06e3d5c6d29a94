import { html } from "../../vendor/ui.js";

export function Fit() {
  return html`<p>This version does not work this out.</p>`;
}
