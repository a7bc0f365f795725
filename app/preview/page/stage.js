// The view: light, the two ways to look (perspective, parallel), the hull's lines; drawn only when something moved.

import * as THREE from "three";
import { OrbitControls } from "./three/OrbitControls.js";
import { Layers, points } from "./layers.js";

const ANGLE = 32;
const SLOPE = Math.tan((ANGLE * Math.PI) / 360);
const AFT = new THREE.Vector3(-1e-3, 0, 0);
const STARBOARD = new THREE.Vector3(0, -1e-3, 0);
const FLIGHT = 350;

/** Ways to look: from where, a direction in the boat: forward, port, up. */
export const STANDS = [
  ["Quarter", [-1, 0.9, 0.75]],
  ["Bow", [1, 0.9, 0.6]],
  ["Above", [0, 0, 1]],
  ["Port", [0, 1, 0]],
  ["Starboard", [0, -1, 0]],
  ["Astern", [-1, 0, 0]],
  ["Ahead", [1, 0, 0]],
];

export class Stage extends EventTarget {
  #flight = null;
  #asked = false;
  #lines = null;

  constructor(store, canvas) {
    super();
    this.store = store;
    this.canvas = canvas;
    this.planes = [];
    this.rows = () => 0;
    // Without a graphics chip every sample is paid for: then edges are left rough, and the boat turns at once.
    const quick = document.createElement("canvas").getContext("webgl2", { failIfMajorPerformanceCaveat: true });
    this.sharpness = quick ? 2 : 1;
    this.renderer = new THREE.WebGLRenderer({ canvas, antialias: Boolean(quick), alpha: true });
    this.renderer.localClippingEnabled = true;
    // A tablet that slept may have lost what was drawn.
    canvas.addEventListener("webglcontextrestored", () => this.redraw());
    this.scene = new THREE.Scene();
    this.lamp = new THREE.DirectionalLight("#ffffff", 1.9);
    this.scene.add(new THREE.HemisphereLight("#ffffff", "#9aa6a4", 1.9), this.lamp);
    this.perspective = new THREE.PerspectiveCamera(ANGLE, 1, 10, 1e5);
    this.parallel = new THREE.OrthographicCamera(-1, 1, 1, -1, -1e5, 1e5);
    this.camera = this.perspective;
    for (const camera of [this.perspective, this.parallel]) camera.up.set(0, 0, 1);
    this.controls = new OrbitControls(this.camera, canvas);
    Object.assign(this.controls, { zoomToCursor: true, screenSpacePanning: true, rotateSpeed: 0.9, zoomSpeed: 1.1 });
    this.controls.addEventListener("change", () => this.redraw());
    this.controls.addEventListener("start", () => (this.#flight = null));
    this.layers = new Layers(store, this.scene, this.planes);
    new ResizeObserver(() => this.#fitSize()).observe(canvas.parentElement);
    store.on("section:lines", (lines) => this.#drawLines(lines));
    this.#fitSize();
  }

  /** Asks for a picture; many asks make one. */
  redraw() {
    if (this.#asked) return;
    this.#asked = true;
    requestAnimationFrame((now) => this.#draw(now));
  }

  refresh() {
    this.layers.refresh();
    this.redraw();
  }

  #draw(now) {
    this.#asked = false;
    if (this.#flight) this.#fly(now);
    this.#keepDepth();
    this.lamp.position.copy(this.camera.position).sub(this.controls.target).normalize();
    this.lamp.position.add(new THREE.Vector3(0, 0, 0.7));
    this.renderer.render(this.scene, this.camera);
    this.dispatchEvent(new Event("drawn"));
    if (this.#flight) this.redraw();
  }

  /** Near and far as close about the boat as they go, so that thin sheet keeps its two sides apart. */
  #keepDepth() {
    const far = this.camera.position.distanceTo(this.controls.target);
    this.perspective.near = Math.max(5, far / 40);
    this.perspective.far = far * 4 + 8000;
    this.perspective.updateProjectionMatrix();
  }

  #fitSize() {
    const { clientWidth: wide, clientHeight: high } = this.canvas.parentElement;
    if (!wide || !high) return;
    this.renderer.setPixelRatio(Math.min(window.devicePixelRatio, this.sharpness));
    this.renderer.setSize(wide, high, false);
    this.perspective.aspect = wide / high;
    const half = this.parallel.top;
    this.parallel.left = (-half * wide) / high;
    this.parallel.right = (half * wide) / high;
    for (const camera of [this.perspective, this.parallel]) camera.updateProjectionMatrix();
    this.redraw();
  }

  #drawLines(lines) {
    if (this.#lines) {
      this.scene.remove(this.#lines);
      this.#lines.geometry.dispose();
    }
    const found = [];
    for (const line of lines)
      for (let i = 1; i < line.length; i++) found.push(...line[i - 1], ...line[i]);
    this.#lines = new THREE.LineSegments(
      points(new Float32Array(found)),
      new THREE.LineBasicMaterial({ color: "#5b7078", clippingPlanes: this.planes }),
    );
    this.showLines();
    this.scene.add(this.#lines);
    this.redraw();
  }

  showLines() {
    if (this.#lines) this.#lines.visible = this.store.isShown("hull");
  }

  // --- where the eye is

  /** The box about some pieces, or all that are shown. */
  boxOf(names) {
    const box = new THREE.Box3();
    for (const name of names ?? this.store.pieces.keys()) {
      const piece = this.store.pieces.get(name);
      if (!piece || (!names && !this.store.isShown(name))) continue;
      const [a, b, c, d, e, f] = piece.box;
      box.union(new THREE.Box3(new THREE.Vector3(a, b, c), new THREE.Vector3(d, e, f)));
    }
    return box;
  }

  /** Looks along a direction at some pieces so that they fill the view; keeps the direction if none is given. */
  look(from, names, { at = null, room = 1.03, fast = false } = {}) {
    const box = this.boxOf(names);
    if (box.isEmpty()) return;
    if (names) box.expandByScalar(Math.max(120, box.getSize(new THREE.Vector3()).length() * 0.35));
    const middle = box.getCenter(new THREE.Vector3());
    const way = from
      ? new THREE.Vector3(...from).normalize()
      : this.camera.position.clone().sub(this.controls.target).normalize();
    // Straight down there is no way up: the bow goes to the right, or to the top of a view that is held upright.
    if (from && !from[0] && !from[1]) way.add(this.perspective.aspect < 1 ? AFT : STARBOARD).normalize();
    const points = names ? corners(box) : this.#outermost();
    const { target, distance } = at
      ? { target: new THREE.Vector3(...at), distance: box.getSize(new THREE.Vector3()).length() * 1.5 }
      : this.#fitted(points, middle, way);
    const half = distance * SLOPE * room;
    this.#goTo(target, target.clone().addScaledVector(way, distance * room), half, fast);
  }

  /** Points that tell how much room the whole boat takes: the hull's, thinned out, and the corners of the rest. */
  #outermost() {
    const found = [];
    for (const piece of this.store.pieces.values()) {
      if (!this.store.isShown(piece.name)) continue;
      if (piece.name !== "hull") found.push(...corners(new THREE.Box3().setFromArray(piece.box)));
      else
        for (let i = 0; i < piece.vertices.length; i += 3 * 7)
          found.push(new THREE.Vector3().fromArray(piece.vertices, i));
    }
    return found;
  }

  /** The middle and the distance at which all points just fill the free part of the view. */
  #fitted(points, middle, way) {
    const side = new THREE.Vector3(0, 0, 1).cross(way);
    if (side.lengthSq() < 1e-9) side.set(0, 1, 0);
    side.normalize();
    const up = way.clone().cross(side);
    // Rows of buttons lie over the top and the bottom of the view.
    const high = SLOPE * Math.max(0.4, 1 - (2 * this.rows()) / this.canvas.clientHeight);
    const wide = SLOPE * this.perspective.aspect * 0.97;
    const target = middle.clone();
    let distance = 1e4;
    for (let round = 0; round < 6; round++) {
      const seen = [Infinity, -Infinity, Infinity, -Infinity];
      let need = 0;
      for (const point of points) {
        const from = point.clone().sub(target);
        const [x, y, near] = [from.dot(side), from.dot(up), this.camera === this.perspective ? from.dot(way) : 0];
        need = Math.max(need, near + Math.abs(x) / wide, near + Math.abs(y) / high);
        const depth = Math.max(1, distance - near);
        seen[0] = Math.min(seen[0], x / depth);
        seen[1] = Math.max(seen[1], x / depth);
        seen[2] = Math.min(seen[2], y / depth);
        seen[3] = Math.max(seen[3], y / depth);
      }
      distance = need;
      target.addScaledVector(side, ((seen[0] + seen[1]) / 2) * distance);
      target.addScaledVector(up, ((seen[2] + seen[3]) / 2) * distance);
    }
    return { target, distance };
  }

  #goTo(target, position, half, fast) {
    const still = fast || matchMedia("(prefers-reduced-motion: reduce)").matches;
    const from = {
      target: this.controls.target.clone(),
      position: this.camera.position.clone(),
      half: this.parallel.top / this.parallel.zoom,
    };
    this.#flight = { from, to: { target, position, half }, start: performance.now() - (still ? FLIGHT : 0) };
    this.redraw();
    if (still) this.#fly(performance.now());
  }

  #fly(now) {
    const { from, to, start } = this.#flight;
    const share = Math.min(1, (now - start) / FLIGHT);
    const eased = share * share * (3 - 2 * share);
    this.controls.target.lerpVectors(from.target, to.target, eased);
    // The eye goes round the boat, not through it.
    const [a, b] = [from.position.clone().sub(from.target), to.position.clone().sub(to.target)];
    const length = a.length() + (b.length() - a.length()) * eased;
    const way = a.lerp(b, eased);
    if (way.lengthSq() < 1e-6) way.copy(b);
    this.camera.position.copy(this.controls.target).addScaledVector(way.normalize(), length);
    this.#setHalf(from.half + (to.half - from.half) * eased);
    if (share === 1) this.#flight = null;
    this.controls.update();
  }

  #setHalf(half) {
    this.parallel.zoom = 1;
    this.parallel.top = half;
    this.parallel.bottom = -half;
    this.parallel.right = half * this.perspective.aspect;
    this.parallel.left = -this.parallel.right;
    this.parallel.updateProjectionMatrix();
  }

  /** Changes between perspective and parallel; what fills the view stays. */
  setParallel(yes) {
    const [old, camera] = [this.camera, yes ? this.parallel : this.perspective];
    if (old === camera) return;
    const way = old.position.clone().sub(this.controls.target);
    if (yes) this.#setHalf(way.length() * SLOPE);
    else way.setLength(this.parallel.top / this.parallel.zoom / SLOPE);
    camera.position.copy(this.controls.target).add(way);
    this.camera = this.controls.object = camera;
    this.controls.update();
    this.redraw();
  }

  /** Turns about the middle of the view, rad: round the mast, and over. */
  turn(round, over) {
    const way = this.camera.position.clone().sub(this.controls.target);
    const at = new THREE.Spherical().setFromVector3(new THREE.Vector3(way.x, way.z, -way.y));
    at.theta += round;
    at.phi = Math.min(Math.PI - 0.01, Math.max(0.01, at.phi + over));
    const to = new THREE.Vector3().setFromSpherical(at);
    this.camera.position.copy(this.controls.target).add(new THREE.Vector3(to.x, -to.z, to.y));
    this.controls.update();
    this.redraw();
  }

  zoom(by) {
    if (this.camera === this.parallel) {
      this.parallel.zoom *= by;
      this.parallel.updateProjectionMatrix();
    } else {
      const way = this.camera.position.clone().sub(this.controls.target).divideScalar(by);
      this.camera.position.copy(this.controls.target).add(way);
    }
    this.controls.update();
    this.redraw();
  }

  /** Where a point of the boat falls on the view, px; null behind the eye. */
  toScreen(point) {
    this.camera.updateMatrixWorld();
    const seen = new THREE.Vector3(...point).project(this.camera);
    if (seen.z > 1) return null;
    const { clientWidth: wide, clientHeight: high } = this.canvas;
    return [((seen.x + 1) * wide) / 2, ((1 - seen.y) * high) / 2];
  }

  /** The ray from the eye through a spot of the view. */
  ray(x, y) {
    const box = this.canvas.getBoundingClientRect();
    const spot = new THREE.Vector2(((x - box.left) / box.width) * 2 - 1, 1 - ((y - box.top) / box.height) * 2);
    // A tap may come before the picture that the eye was moved for.
    this.camera.updateMatrixWorld();
    const caster = new THREE.Raycaster();
    caster.setFromCamera(spot, this.camera);
    return caster.ray;
  }
}

function corners(box) {
  const ends = [box.min, box.max];
  return [0, 1, 2, 3, 4, 5, 6, 7].map(
    (k) => new THREE.Vector3(ends[k & 1].x, ends[(k >> 1) & 1].y, ends[(k >> 2) & 1].z));
}
