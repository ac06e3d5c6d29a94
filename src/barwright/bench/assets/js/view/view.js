// What the view shows of the operation that lies open. It is loaded after the card stands.
import { effect, untracked } from "../../vendor/ui.js";
import * as T from "../../vendor/three.js";
import * as state from "../state.js";
import { fine } from "../shop.js";
import { wantPicture } from "../wire.js";
import { Marks } from "./marks.js";
import { Shape } from "./shape.js";
import { Solids } from "./solids.js";
import { Stage } from "./stage.js";

/** @import { Thing } from "../types.js" */

/**
 * Start the view in its frame.
 * @param {HTMLCanvasElement} canvas @param {HTMLElement} labels @param {(text: string) => void} caption
 */
export function start(canvas, labels, caption) {
  const stage = new Stage(canvas);
  const solids = new Solids();
  const marks = new Marks(labels);
  const shape = new Shape();
  const where = new T.Mesh(new T.SphereGeometry(14, 12, 8), new T.MeshBasicMaterial({ color: 0xa3120a, depthTest: false }));
  where.renderOrder = 6;
  stage.scene.add(floor(), solids.group, marks.group, shape.group, where);
  const place = () => marks.place((at) => stage.spot(at));
  stage.after.push(() => marks.group.visible && place());
  schemes(solids, marks, stage);

  effect(() => {
    const came = solids.put(state.things.value);
    untracked(() => looks(solids));
    if (came) framed(stage, solids);
  });
  effect(() => {
    marks.put(state.measured.value);
    if (!state.things.value.length) stage.look(markPoints());
    place();
  });
  effect(() => {
    state.things.value;
    state.measured.value;
    looks(solids);
    const measuring = state.open.value === "measure";
    marks.group.visible = measuring;
    const loaded = state.open.value === "strength" ? state.strength.value : null;
    shape.put(loaded, state.caseName.value, solids.colour("leaf"));
    labels.hidden = !measuring;
    const row = state.rows.value.rows.find((r) => r.line === state.line.value);
    marks.show(row ? row.marks.split(/\s+/) : [state.chosen.value]);
    caption(captions(marks.factor, shape.factor));
  });
  effect(() => {
    state.things.value;
    const swings = state.open.value === "swing";
    solids.swing(state.leaves.value, swings ? state.angle.value : 0);
    const leaf = state.leaf.value;
    const touching = swings && leaf?.where && state.angle.value >= (leaf.contact ?? 1e9) - 0.05;
    where.visible = Boolean(touching);
    if (touching && leaf?.where) where.position.set(...leaf.where);
  });
  effect(() => {
    state.things.value;
    const ways = (step()?.explode ?? []).map((e) => /** @type {const} */ ([e.name, e.way]));
    solids.apart(state.open.value === "build" ? state.apart.value : 0, new Map(ways));
  });
  picking(stage, solids);
  effect(() => {
    focused(stage, solids);
  });
  effect(drawing(stage));
  wantPicture();
  return stage;
}

/** What a person sets on the page, and what is worked out. */
const SET = [state.open, state.chosen, state.line, state.angle, state.leafName, state.stage, state.caseName, state.buildStep, state.apart];
const WORKED_OUT = [state.things, state.measured, state.rows, state.leaves, state.plates, state.strength, state.buildup];

/**
 * Draw when anything shown has changed. A machine that draws in software is busy enough while the
 * job is worked out: what comes of that is drawn there when all of it has come, what a person does
 * at once. @param {Stage} stage
 */
function drawing(stage) {
  let before = "";
  return () => {
    const set = SET.map((signal) => signal.value).join("\n");
    for (const signal of WORKED_OUT) signal.value;
    const wait = stage.rough && state.working.value && set === before;
    before = set;
    if (!wait) stage.draw();
  };
}

let open = "";

/** Frame what the operation is about, when another one is opened or another plate chosen. @param {Stage} stage @param {Solids} solids */
function focused(stage, solids) {
  const key = state.open.value + (["plates", "fit"].includes(state.open.value) ? state.chosen.value + state.leafName.value : "");
  state.things.value.length;
  if (key === open) return;
  open = key;
  untracked(() => framed(stage, solids));
}

/** @param {Stage} stage @param {Solids} solids */
function framed(stage, solids) {
  const at = untracked(() => subject());
  const points = solids.points(at ?? (() => true));
  const middle = new T.Box3().setFromPoints(points).getCenter(new T.Vector3());
  const wider = at ? 1.6 : 1; // what it hangs on is to be seen too
  for (const p of points) p.sub(middle).multiplyScalar(wider).add(middle);
  stage.look(points.length ? points : solids.points());
}

/** The things the operation is about, when they are fewer than all. @returns {((t: Thing) => boolean) | null} */
function subject() {
  const [op, chosen] = [state.open.value, state.chosen.value];
  if (op === "plates") {
    const named = state.plates.value.parts.some((p) => p.name === chosen);
    return named ? (t) => t.name === chosen : (t) => t.kind === "plate";
  }
  if (op === "fit") {
    const leaf = state.leaf.value?.leaf ?? "";
    const twin = leaf.endsWith("-twin");
    return (t) => t.kind === "hardware" && t.name.startsWith(`${leaf.replace(/-twin$/, "")}.hinge`) && t.name.endsWith("-twin") === twin;
  }
  return null;
}

/** How each thing looks in the operation that lies open. @param {Solids} solids */
function looks(solids) {
  const [op, chosen, stage] = [state.open.value, state.chosen.value, state.stage.value];
  const plate = stage === "board" ? "board" : "plate";
  const inPlates = state.plates.value.parts.some((p) => p.name === chosen);
  const steps = op === "build" ? state.buildup.value?.steps : undefined;
  const adds = step()?.adds ?? [];
  solids.show((thing) => {
    if (op === "measure" || op === "strength") return thing.kind === "bar" ? "ghost" : null;
    if (op === "tubes") return thing.kind !== "bar" ? null : thing.name === chosen ? "chosen" : "bar";
    if (op === "plates" && inPlates && thing.kind !== "hardware") {
      return thing.name === chosen ? plate : "ghost";
    }
    if (op === "fit") return thing.kind === "hardware" ? "hardware" : "ghost";
    if (steps?.length) {
      if (adds.includes(thing.name)) return "leaf";
      const comes = steps.findIndex((s) => s.adds.includes(thing.name));
      if (comes > state.buildStep.value) return null;
    }
    if (thing.name === chosen && op === "make") return "chosen";
    if (thing.kind === "plate") return plate;
    return thing.kind === "bar" && thing.leaf ? "leaf" : thing.kind;
  });
}

/** The step of putting it together that is looked at. */
function step() {
  return state.open.value === "build" ? state.buildup.value?.steps[state.buildStep.value] : undefined;
}

/** What one sees, in words. @param {number} factor of the doubts @param {number} larger of the movements */
function captions(factor, larger) {
  const unit = state.unit.value;
  /** @type {Record<string, string>} */
  const says = {
    measure: `Marks on the vehicle. Doubt (one standard deviation) drawn ${factor} times its size.`,
    tubes: "Tubes as built in, ends cut as the templates say.",
    swing: `Leaves at ${state.angle.value.toFixed(1)}°.`,
    plates: state.stage.value === "board" ? "Plates in board, for the mock-up." : "Plates in metal.",
    fit: "Hinge and latch: the bought parts, everything else faint.",
    strength: `The frame under load, its movement drawn ${larger} times as large; faint as it stands.`,
    build: state.buildup.value?.steps.length ? "What stands at this step; what comes in is orange, pulled out the way it came." : "Everything, pulled apart.",
    make: "Everything that is made.",
  };
  const named = ["measure", "tubes", "plates", "make"].includes(state.open.value);
  const chosen = named && state.chosen.value ? ` ${state.chosen.value}.` : "";
  const mark = state.measured.value?.marks.find((m) => m.name === state.chosen.value);
  const doubt = mark ? ` ± ${mark.sd.map((s) => fine(s, unit)).join(", ")} ${unit}.` : "";
  return (says[state.open.value] ?? "") + chosen + doubt;
}

function markPoints() {
  const marks = state.measured.value?.marks ?? [];
  if (marks.length) return marks.map((m) => new T.Vector3(...m.xyz));
  return [-800, 800].flatMap((x) => [-500, 500].map((y) => new T.Vector3(x, y, 0)));
}

/** The shop floor: a ruled square, a foot or 300 mm a field. */
function floor() {
  const [half, step] = [2400, 304.8];
  const points = [];
  for (let at = -Math.floor(half / step) * step; at <= half; at += step) {
    points.push(new T.Vector3(at, -half, 0), new T.Vector3(at, half, 0));
    points.push(new T.Vector3(-half, at, 0), new T.Vector3(half, at, 0));
  }
  const lines = new T.LineBasicMaterial({ color: 0x8d8a7c, transparent: true, opacity: 0.28 });
  return new T.LineSegments(new T.BufferGeometry().setFromPoints(points), lines);
}

/** @param {Solids} solids @param {Marks} marks @param {Stage} stage */
function schemes(solids, marks, stage) {
  const dark = matchMedia("(prefers-color-scheme: dark)");
  const set = () => {
    solids.scheme(dark.matches ? "dark" : "light");
    marks.scheme(solids.colour("line"), solids.colour("chosen"), dark.matches ? 0xff8f80 : 0xa3120a);
    stage.draw();
  };
  dark.addEventListener("change", set);
  set();
}

/** A tap chooses what lies under it; a drag only turns the view. @param {Stage} stage @param {Solids} solids */
function picking(stage, solids) {
  const ray = new T.Raycaster();
  let down = { x: 0, y: 0 };
  stage.canvas.addEventListener("pointerdown", (e) => (down = { x: e.clientX, y: e.clientY }));
  stage.canvas.addEventListener("pointerup", (e) => {
    if (Math.hypot(e.clientX - down.x, e.clientY - down.y) > 5) return;
    const frame = stage.canvas.getBoundingClientRect();
    const at = new T.Vector2(
      ((e.clientX - frame.left) / frame.width) * 2 - 1,
      1 - ((e.clientY - frame.top) / frame.height) * 2,
    );
    ray.setFromCamera(at, stage.camera);
    const seen = [...solids.all.values()].map((t) => t.mesh).filter((m) => m.visible && m.material !== solids.paints.ghost);
    const hit = ray.intersectObjects(seen, false)[0];
    if (hit) state.chosen.value = hit.object.name;
  });
}
