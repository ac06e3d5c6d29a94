// The frame as a load moves it, drawn larger than it is, as tubes of its own.
import * as T from "../../vendor/three.js";

/** @import { Point, Strength } from "../types.js" */

/** How large the largest movement is drawn [mm]. */
const DRAWN = 150;
const STEPS = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000];
const RADIUS = 13;
/** @type {Point} */
const STILL = [0, 0, 0];

export class Shape {
  constructor() {
    this.group = new T.Group();
    this.ink = new T.MeshLambertMaterial();
    this.rod = new T.CylinderGeometry(RADIUS, RADIUS, 1, 10, 1, true);
    /** How many times larger than it is the movement is drawn. */
    this.factor = 1;
  }

  /** @param {Strength | null} strength @param {string} name @param {number} colour */
  put(strength, name, colour) {
    for (const old of this.group.children) /** @type {T.InstancedMesh} */ (old).dispose();
    this.group.clear();
    const held = strength?.cases.find((c) => c.name === name) ?? strength?.cases[0];
    if (!strength || !held) return;
    this.ink.color.set(colour);
    this.factor = STEPS.filter((s) => s * held.largest <= DRAWN).at(-1) ?? 1;
    const places = strength.nodes.map((p, i) =>
      new T.Vector3(...p).addScaledVector(new T.Vector3(...(held.moves[i] ?? STILL)), this.factor),
    );
    const runs = strength.runs.map((run) => run.nodes.flatMap((i) => places[i] ?? []));
    const pairs = runs.flatMap((run) => run.slice(1).map((b, i) => /** @type {const} */ ([run[i] ?? b, b])));
    const rods = new T.InstancedMesh(this.rod, this.ink, pairs.length);
    pairs.forEach(([a, b], i) => rods.setMatrixAt(i, between(a, b)));
    rods.frustumCulled = false;
    this.group.add(rods);
  }
}

/** The placing that stretches a rod of length one from a to b. @param {T.Vector3} a @param {T.Vector3} b */
function between(a, b) {
  const along = b.clone().sub(a);
  const turn = new T.Quaternion().setFromUnitVectors(new T.Vector3(0, 1, 0), along.clone().normalize());
  const middle = a.clone().add(b).multiplyScalar(0.5);
  return new T.Matrix4().compose(middle, turn, new T.Vector3(1, along.length(), 1));
}
