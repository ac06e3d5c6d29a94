// Everything there is, as meshes: one a thing, those of a leaf under one pivot that swings.
import * as T from "../../vendor/three.js";

/** @import { Leaf, Thing } from "../types.js" */

/** Colours of the two schemes; a thing that matters is also outlined or named, never only coloured. */
const COLOURS = {
  light: { bar: 0x7d8b96, leaf: 0xb4531a, plate: 0xe9d9a8, board: 0xc69a62, hardware: 0x3d464d, chosen: 0x1f5f9e, ghost: 0xb9b6ab, line: 0x15181a },
  dark: { bar: 0x93a1ac, leaf: 0xf08a3c, plate: 0xd8c78f, board: 0xb98d55, hardware: 0xd5dbe0, chosen: 0x6fb4ff, ghost: 0x4a4f53, line: 0xf2efe6 },
};

/** @typedef {keyof typeof COLOURS.light} Paint */

export class Solids {
  constructor() {
    this.group = new T.Group();
    /** @type {Map<string, { mesh: T.Mesh, thing: Thing, box: T.Box3 }>} */
    this.all = new Map();
    /** @type {Map<string, T.Group>} */
    this.pivots = new Map();
    /** @type {Record<string, T.MeshLambertMaterial>} */
    this.paints = {};
    this.scheme("light");
  }

  /** @param {"light" | "dark"} name */
  scheme(name) {
    this.name = name;
    for (const [paint, colour] of Object.entries(COLOURS[name])) {
      const made = (this.paints[paint] ??= new T.MeshLambertMaterial());
      made.color.set(colour);
    }
    const ghost = /** @type {T.MeshLambertMaterial} */ (this.paints.ghost);
    ghost.transparent = true;
    ghost.opacity = 0.28;
    ghost.depthWrite = false;
  }

  /** The colour of a paint, for lines. @param {Paint} paint */
  colour(paint) {
    return COLOURS[this.name ?? "light"][paint];
  }

  /**
   * Put other things in place of all, and say whether any came or went.
   * @param {Thing[]} things @returns {boolean}
   */
  put(things) {
    const before = [...this.all.keys()].join("\n");
    for (const { mesh } of this.all.values()) mesh.geometry.dispose();
    this.group.clear();
    this.all.clear();
    this.pivots.clear();
    for (const thing of things) {
      const mesh = new T.Mesh(geometry(thing), this.paints.bar);
      mesh.name = thing.name;
      const box = new T.Box3().setFromBufferAttribute(
        /** @type {T.BufferAttribute} */ (mesh.geometry.getAttribute("position")),
      );
      this.all.set(thing.name, { mesh, thing, box });
      this.pivot(thing.leaf).add(mesh);
    }
    return before !== [...this.all.keys()].join("\n");
  }

  /** The group that swings with a leaf. @param {string} leaf */
  pivot(leaf) {
    let pivot = this.pivots.get(leaf);
    if (!pivot) {
      pivot = new T.Group();
      pivot.matrixAutoUpdate = false;
      this.pivots.set(leaf, pivot);
      this.group.add(pivot);
    }
    return pivot;
  }

  /** Open the leaves by so many degrees, each no farther than it goes. @param {Leaf[]} leaves @param {number} degrees */
  swing(leaves, degrees) {
    for (const leaf of leaves) {
      const pivot = this.pivots.get(leaf.leaf);
      if (!pivot) continue;
      const turned = Math.min(Math.abs(degrees), Math.abs(leaf.opens)) * Math.sign(leaf.opens);
      const through = new T.Vector3(...leaf.through);
      const turn = new T.Matrix4().makeRotationAxis(new T.Vector3(...leaf.along), (turned * Math.PI) / 180);
      pivot.matrix.makeTranslation(through).multiply(turn);
      pivot.matrix.multiply(new T.Matrix4().makeTranslation(through.clone().negate()));
      pivot.matrixWorldNeedsUpdate = true;
    }
  }

  /**
   * Say how each thing is shown.
   * @param {(thing: Thing) => Paint | null} paint null hides it
   */
  show(paint) {
    for (const { mesh, thing } of this.all.values()) {
      const name = paint(thing);
      mesh.visible = name !== null;
      if (name) mesh.material = /** @type {T.Material} */ (this.paints[name]);
      mesh.renderOrder = name === "ghost" ? 1 : 0;
    }
  }

  /**
   * Pull things apart by a share: those with a way of their own along it, all from the middle
   * where none has one.
   * @param {number} share @param {Map<string, [number, number, number]>} ways
   */
  apart(share, ways) {
    if (ways.size) {
      for (const [name, { mesh }] of this.all) {
        mesh.position.set(...(ways.get(name) ?? [0, 0, 0])).multiplyScalar(share * 400);
      }
      return;
    }
    const middle = this.box().getCenter(new T.Vector3());
    for (const { mesh, box, thing } of this.all.values()) {
      const out = box.getCenter(new T.Vector3()).sub(middle);
      const far = thing.kind === "bar" ? 0.35 : 0.75;
      mesh.position.copy(out.multiplyScalar(share * far));
    }
  }

  /** Some points of some things, enough to frame them. @param {(thing: Thing) => boolean} [which] */
  points(which = () => true) {
    const found = [];
    for (const { thing } of this.all.values()) {
      if (!which(thing)) continue;
      const p = thing.positions;
      const step = 3 * Math.max(1, Math.floor(p.length / 3 / 60));
      for (let i = 0; i < p.length; i += step) found.push(new T.Vector3(p[i], p[i + 1], p[i + 2]));
    }
    return found;
  }

  /** The box round some things, or round all. @param {(thing: Thing) => boolean} [which] */
  box(which = () => true) {
    const whole = new T.Box3();
    for (const { thing, box } of this.all.values()) if (which(thing)) whole.union(box);
    return whole;
  }
}

/** @param {Thing} thing */
function geometry(thing) {
  const made = new T.BufferGeometry();
  made.setAttribute("position", new T.BufferAttribute(thing.positions, 3));
  made.setAttribute("normal", new T.BufferAttribute(thing.normals, 4, true));
  made.setIndex(new T.BufferAttribute(thing.index, 1));
  return made;
}
