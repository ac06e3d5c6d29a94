// The one view: a camera on the vehicle, drawn only when something changed.
import * as T from "../../vendor/three.js";

/** Where one looks from, by what the buttons say: directions in the vehicle's frame. @type {Record<string, [number, number, number]>} */
export const SIDES = {
  Corner: [1, 1.1, 0.75],
  Left: [0, 1, 0.0001],
  Front: [1, 0, 0.0001],
  Above: [-0.0001, 0, 1],
};

/** Whether the machine draws in software: then edges are left rough, so that it stays quick. */
function slow() {
  const gl = document.createElement("canvas").getContext("webgl2");
  if (!gl) return true;
  const info = gl.getExtension("WEBGL_debug_renderer_info");
  const name = info ? String(gl.getParameter(info.UNMASKED_RENDERER_WEBGL)) : "";
  gl.getExtension("WEBGL_lose_context")?.loseContext();
  return /swiftshader|llvmpipe|software/i.test(name);
}

/** A camera, its lights and what it draws on. */
export class Stage {
  /** @param {HTMLCanvasElement} canvas */
  constructor(canvas) {
    /** Whether a drawing costs so much that there should be few. */
    this.rough = slow();
    this.canvas = canvas;
    this.renderer = new T.WebGLRenderer({ canvas, antialias: !this.rough, alpha: true });
    this.renderer.setPixelRatio(this.rough ? 1 : Math.min(devicePixelRatio, 2));
    this.scene = new T.Scene();
    this.camera = new T.PerspectiveCamera(28, 1, 50, 60000);
    this.camera.up.set(0, 0, 1);
    this.controls = new T.OrbitControls(this.camera, canvas);
    this.controls.addEventListener("change", () => this.draw());
    this.hemisphere = new T.HemisphereLight(0xffffff, 0x8a8578, 1.9);
    this.hemisphere.position.set(0, 0, 1);
    const sun = new T.DirectionalLight(0xffffff, 1.7);
    sun.position.set(0.6, 0.4, 1);
    this.scene.add(this.hemisphere, sun);
    /** Called after each drawing. @type {(() => void)[]} */
    this.after = [];
    this.asked = 0;
    /** What was looked at last. @type {T.Vector3[]} */
    this.points = [];
    this.side = "Corner";
    /** Of the canvas, in CSS pixels: asked of the page once, not for every mark. */
    this.size = { w: 1, h: 1 };
    new ResizeObserver(() => this.resize()).observe(/** @type {Element} */ (canvas.parentElement));
    this.resize();
  }

  /** Draw soon, once. */
  draw() {
    this.asked ||= requestAnimationFrame(() => {
      this.asked = 0;
      this.now();
    });
  }

  /** Draw at once. */
  now() {
    this.renderer.render(this.scene, this.camera);
    for (const call of this.after) call();
  }

  resize() {
    const { clientWidth: w, clientHeight: h } = /** @type {HTMLElement} */ (this.canvas.parentElement);
    if (!w || !h) return;
    this.size = { w, h };
    this.renderer.setSize(w, h, false);
    this.camera.aspect = w / h;
    this.camera.updateProjectionMatrix();
    this.draw();
  }

  /** Look at some points from a side, so that all of them are in view. @param {T.Vector3[]} points @param {string} [side] */
  look(points, side = this.side) {
    if (!points.length) return;
    this.points = points;
    this.side = side;
    const way = new T.Vector3(...(SIDES[side] ?? [1, 1, 1])).normalize();
    const right = new T.Vector3().crossVectors(this.camera.up, way).normalize();
    const above = new T.Vector3().crossVectors(way, right);
    const centre = new T.Vector3();
    for (const axis of [way, right, above]) {
      const along = points.map((p) => p.dot(axis));
      centre.addScaledVector(axis, (Math.min(...along) + Math.max(...along)) / 2);
    }
    const up = Math.tan((this.camera.fov / 2) * (Math.PI / 180)) * 0.9;
    const across = up * this.camera.aspect;
    const far = points.map((p) => {
      const arm = p.clone().sub(centre);
      return Math.max(Math.abs(arm.dot(right)) / across, Math.abs(arm.dot(above)) / up) + arm.dot(way);
    });
    this.stand(centre, way, Math.max(120, ...far));
  }

  /** @param {T.Vector3} centre @param {T.Vector3} way @param {number} away */
  stand(centre, way, away) {
    this.camera.position.copy(centre).addScaledVector(way, away);
    this.camera.near = away / 100;
    this.camera.far = away * 20 + 20000;
    this.camera.updateProjectionMatrix();
    this.controls.target.copy(centre);
    this.controls.update();
    this.draw();
  }

  /** Come closer (below 1) or go farther (above 1). @param {number} factor */
  zoom(factor) {
    const { target } = this.controls;
    this.camera.position.sub(target).multiplyScalar(factor).add(target);
    this.controls.update();
    this.draw();
  }

  /** Walk round, in degrees. @param {number} round @param {number} up */
  walk(round, up) {
    const { target } = this.controls;
    const way = this.camera.position.clone().sub(target);
    way.applyAxisAngle(this.camera.up, (round * Math.PI) / 180);
    const across = new T.Vector3().crossVectors(this.camera.up, way).normalize();
    const tilted = way.clone().applyAxisAngle(across, (-up * Math.PI) / 180);
    if (Math.abs(tilted.clone().normalize().z) < 0.995) way.copy(tilted);
    this.camera.position.copy(target).add(way);
    this.controls.update();
    this.draw();
  }

  /** Where a point of the vehicle is on the canvas, in CSS pixels; null behind the camera. @param {T.Vector3} at */
  spot(at) {
    const p = at.clone().project(this.camera);
    if (p.z > 1) return null;
    return { x: ((p.x + 1) / 2) * this.size.w, y: ((1 - p.y) / 2) * this.size.h };
  }
}
