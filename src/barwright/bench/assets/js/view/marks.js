// The marks on the vehicle: names, doubts drawn large enough to see, and the reading looked at.
import * as T from "../../vendor/three.js";

/** @import { Mark, Measured } from "../types.js" */

const STEPS = [1, 2, 5, 10, 20, 50, 100, 200, 500];
/** How large the largest doubt is drawn [mm]. */
const DRAWN = 70;

export class Marks {
  /** @param {HTMLElement} labels where the names go */
  constructor(labels) {
    this.group = new T.Group();
    this.labels = labels;
    /** @type {Map<string, { at: T.Vector3, label: HTMLElement }>} */
    this.all = new Map();
    this.blobs = new T.MeshLambertMaterial({ color: 0x1f5f9e, transparent: true, opacity: 0.55 });
    this.dots = new T.MeshBasicMaterial({ color: 0x15181a });
    this.wire = new T.LineBasicMaterial({ color: 0xa3120a, depthTest: false });
    this.factor = 1;
    this.reading = new T.Group();
    this.group.add(this.reading);
  }

  /** @param {number} ink @param {number} doubt @param {number} wire */
  scheme(ink, doubt, wire) {
    this.dots.color.set(ink);
    this.blobs.color.set(doubt);
    this.wire.color.set(wire);
  }

  /** @param {Measured | null} measured */
  put(measured) {
    this.group.clear();
    this.group.add(this.reading);
    this.labels.replaceChildren();
    this.all.clear();
    const marks = measured?.marks ?? [];
    this.factor = exaggeration(marks);
    const ball = new T.SphereGeometry(1, 16, 10);
    const dots = new T.InstancedMesh(new T.SphereGeometry(7, 8, 6), this.dots, marks.length);
    const blobs = new T.InstancedMesh(ball, this.blobs, marks.length);
    marks.forEach((mark, i) => {
      const at = new T.Vector3(...mark.xyz);
      dots.setMatrixAt(i, new T.Matrix4().makeTranslation(at));
      blobs.setMatrixAt(i, ellipsoid(mark, this.factor));
      const label = document.createElement("span");
      label.textContent = mark.name;
      this.labels.append(label);
      this.all.set(mark.name, { at, label });
    });
    dots.frustumCulled = blobs.frustumCulled = false;
    this.group.add(dots, blobs);
  }

  /** Draw the reading looked at as a line through its marks. @param {string[]} names */
  show(names) {
    for (const old of this.reading.children) /** @type {T.Line} */ (old).geometry.dispose();
    this.reading.clear();
    for (const { label } of this.all.values()) label.classList.remove("on");
    const points = names.flatMap((n) => {
      const mark = this.all.get(n);
      mark?.label.classList.add("on");
      return mark ? [mark.at] : [];
    });
    if (points.length === 1 && points[0]) points.push(points[0].clone().setZ(0));
    const line = new T.Line(new T.BufferGeometry().setFromPoints(points), this.wire);
    line.renderOrder = 5;
    this.reading.add(line);
  }

  /** Put the names where their marks are on the canvas. @param {(at: T.Vector3) => { x: number, y: number } | null} spot */
  place(spot) {
    for (const { at, label } of this.all.values()) {
      const p = spot(at);
      label.hidden = p === null;
      if (p) label.style.transform = `translate(${p.x.toFixed(1)}px, ${p.y.toFixed(1)}px)`;
    }
  }
}

/** @param {Mark} mark @param {number} factor */
function ellipsoid(mark, factor) {
  const axes = (mark.axes ?? [[0, 0, 0], [0, 0, 0], [0, 0, 0]]).map((a) => new T.Vector3(...a).multiplyScalar(factor));
  const [a, b, c] = /** @type {[T.Vector3, T.Vector3, T.Vector3]} */ (axes);
  if (a.clone().cross(b).dot(c) < 0) c.negate();
  return new T.Matrix4().makeBasis(a, b, c).setPosition(...mark.xyz);
}

/** A round factor that makes the largest doubt plain to see. @param {Mark[]} marks */
function exaggeration(marks) {
  const sizes = marks.flatMap((m) => (m.axes ?? []).map((a) => Math.hypot(...a))).sort((x, y) => x - y);
  const large = sizes[Math.floor(sizes.length * 0.95)] ?? 1;
  return STEPS.filter((s) => s * large <= DRAWN).at(-1) ?? 1;
}
