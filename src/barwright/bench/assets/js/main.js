// The page: the card beside the view, and the keys that work everywhere.
import { html, render, useEffect, useRef } from "../vendor/ui.js";
import { OPS, JobCard } from "./card.js";
import { Notices } from "./notices.js";
import { Help, Phone } from "./panels.js";
import * as state from "./state.js";
import { connect, step } from "./wire.js";

/** The frame of the view; what draws in it is loaded once the card stands. */
function View() {
  const canvas = useRef(/** @type {HTMLCanvasElement | null} */ (null));
  const labels = useRef(/** @type {HTMLElement | null} */ (null));
  const caption = useRef(/** @type {HTMLElement | null} */ (null));
  const stage = useRef(/** @type {import("./view/stage.js").Stage | null} */ (null));
  useEffect(() => {
    begin();
    async function begin() {
      const { start } = await import("./view/view.js");
      const [c, l, t] = [canvas.current, labels.current, caption.current];
      if (!c || !l || !t) return;
      try {
        stage.current = start(c, l, (text) => (t.textContent = text));
      } catch (wrong) {
        console.error(wrong);
        t.textContent = "This browser cannot draw the picture; everything else works.";
      }
    }
  }, []);
  /** @param {KeyboardEvent} e */
  const key = (e) => {
    const it = stage.current;
    /** @type {Record<string, () => void>} */
    const does = {
      ArrowLeft: () => it?.walk(-10, 0),
      ArrowRight: () => it?.walk(10, 0),
      ArrowUp: () => it?.walk(0, 10),
      ArrowDown: () => it?.walk(0, -10),
      "+": () => it?.zoom(0.85),
      "=": () => it?.zoom(0.85),
      "-": () => it?.zoom(1.18),
    };
    const done = does[e.key];
    if (!done || e.ctrlKey || e.metaKey) return;
    e.preventDefault();
    done();
  };
  const sides = ["Corner", "Left", "Front", "Above"];
  return html`<section class="view" aria-label="Picture of the job">
    <div class="frame" tabindex="0" role="img" aria-label="The vehicle. Arrow keys walk round it, plus and minus come closer and go farther." onKeyDown=${key}>
      <canvas ref=${canvas}></canvas>
      <div class="labels" ref=${labels} aria-hidden="true"></div>
    </div>
    <div class="look">
      <p class="caption" ref=${caption}>The picture is being drawn …</p>
      <div class="sides" role="group" aria-label="Look from">
        ${sides.map((s) => html`<button type="button" onClick=${() => stage.current?.look(stage.current.points, s)}>${s}</button>`)}
        <button type="button" aria-label="Closer" onClick=${() => stage.current?.zoom(0.8)}>+</button>
        <button type="button" aria-label="Farther" onClick=${() => stage.current?.zoom(1.25)}>−</button>
      </div>
    </div>
  </section>`;
}

function Page() {
  return html`<main class="bench">
      <${JobCard} />
      <${View} />
    </main>
    <${Notices} />
    <${Help} />
    <${Phone} />`;
}

/** Whether what is typed belongs to a field. @param {EventTarget | null} at */
const typing = (at) => at instanceof HTMLElement && /^(INPUT|TEXTAREA|SELECT)$/.test(at.tagName);

document.addEventListener("keydown", (e) => {
  if (typing(e.target) || e.altKey) return;
  const undo = (e.ctrlKey || e.metaKey) && e.key.toLowerCase() === "z";
  if (undo || ((e.ctrlKey || e.metaKey) && e.key.toLowerCase() === "y")) {
    e.preventDefault();
    step(e.shiftKey || !undo ? "redo" : "undo");
    return;
  }
  if (e.ctrlKey || e.metaKey) return;
  const op = OPS[Number(e.key) - 1];
  if (op) {
    state.opened.value = true;
    state.open.value = op.key;
    document.getElementById(`op-${op.key}`)?.focus();
  }
});

addEventListener("hashchange", () => (state.open.value = location.hash.slice(1) || state.open.value));
fetch("/about").then(async (a) => (state.about.value = await a.json()));
const page = document.getElementById("page");
if (page) {
  page.replaceChildren();
  render(html`<${Page} />`, page);
}
connect();
