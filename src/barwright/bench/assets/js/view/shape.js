// The frame as a load moves it, drawn larger than it is.
import * as T from "../../vendor/three.js";

/** @import { Point } from "../types.js" */

/** How large the largest movement is drawn [mm]. */
const DRAWN = 120;

export class Shape {
  constructor() {
    this.group = new T.Group();
    this.ink = new T.LineBasicMaterial({ color: 0xb4531a, depthTest: false });
  }

  /** @param {any} strength @param {string} name @param {number} colour */
  put(strength, name, colour) {
    for (const old of this.group.children) /** @type {T.Line} */ (old).geometry.dispose();
    this.group.clear();
    const held = strength?.cases?.find((/** @type {any} */ c) => c.name === name) ?? strength?.cases?.[0];
    if (!held?.shape) return;
    this.ink.color.set(colour);
    const largest = Math.max(1e-9, held.largest);
    const factor = DRAWN / largest;
    for (const run of held.shape) {
      const points = run.points.map((/** @type {Point} */ p, /** @type {number} */ i) =>
        new T.Vector3(...p).addScaledVector(new T.Vector3(...run.moves[i]), factor),
      );
      this.group.add(new T.Line(new T.BufferGeometry().setFromPoints(points), this.ink));
    }
  }
}
