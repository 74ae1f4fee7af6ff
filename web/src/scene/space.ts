/** The linkage in space. This module is loaded only where it is shown, since three.js is large. */
import {
  CylinderGeometry,
  DirectionalLight,
  EdgesGeometry,
  GridHelper,
  Group,
  HemisphereLight,
  LineBasicMaterial,
  LineSegments,
  Mesh,
  MeshLambertMaterial,
  Object3D,
  PerspectiveCamera,
  Scene,
  SphereGeometry,
  TOUCH,
  Vector3,
  WebGLRenderer,
} from 'three';
import { OrbitControls } from 'three/addons/controls/OrbitControls.js';
import { CSS2DObject, CSS2DRenderer } from 'three/addons/renderers/CSS2DRenderer.js';
import { onSheet } from '../base/picture';
import type { Point } from '../engine_client/types';
import type { Turn, Wheel } from '../engine_client/turn';
import { rackOf, tyreOf } from './frame';
import { colourOf, stands, type Stand } from './look';

/** What is shown on demand. */
export interface Shows {
  joints: boolean;
  axes: boolean;
  ground: boolean;
  tyres: boolean;
}

/** Words for the scrub radius and the trail of each wheel, in the units shown. */
export type GroundWords = Record<'left' | 'right', { scrub: string; trail: string }>;

/** Thickness by kind of link [m]: for the eye, not the part's own. */
const thick: Record<string, number> = {
  arm: 0.009,
  link: 0.009,
  strut: 0.016,
  spindle: 0.012,
  steering_arm: 0.014,
  tie_rod: 0.01,
  rack: 0.014,
  axis: 0.0025,
  foot: 0.003,
};
const up = new Vector3(0, 1, 0);
const vector = (p: Point) => new Vector3(p[0], p[1], p[2] ?? 0);

export class SpaceScene {
  readonly #scene = new Scene();
  readonly #camera = new PerspectiveCamera(32, 1, 0.05, 50);
  readonly #renderer: WebGLRenderer;
  readonly #labels = new CSS2DRenderer();
  readonly #controls: OrbitControls;
  readonly #host: HTMLElement;
  #model = new Group();
  #grid: GridHelper | undefined;
  #paint: Record<string, MeshLambertMaterial> = {};
  #wire = new LineBasicMaterial({ transparent: true, opacity: 0.55 });
  #waiting = false;

  constructor(host: HTMLElement) {
    this.#host = host;
    this.#renderer = new WebGLRenderer({
      antialias: true,
      alpha: true,
      preserveDrawingBuffer: true,
    });
    this.#renderer.setPixelRatio(Math.min(window.devicePixelRatio, 2));
    this.#labels.domElement.className = 'labels';
    host.append(this.#renderer.domElement, this.#labels.domElement);
    this.#camera.up.set(0, 0, 1);
    this.#camera.position.set(...stands.corner);
    this.#controls = new OrbitControls(this.#camera, this.#labels.domElement);
    // One finger up or down scrolls the page on, else nobody gets past the drawing on a phone.
    this.#labels.domElement.style.touchAction = 'pan-y';
    this.#controls.touches = { ONE: TOUCH.ROTATE, TWO: TOUCH.DOLLY_ROTATE };
    this.#controls.target.set(-0.05, 0, 0.2);
    this.#controls.update();
    this.#controls.minDistance = 0.4;
    this.#controls.maxDistance = 8;
    this.#controls.addEventListener('change', () => this.draw());
    this.recolour();
    this.#scene.add(this.#model);
  }

  /** Takes the colours of the page anew. */
  recolour() {
    const named = { ink: 'ink', accent: 'accent', soft: 'soft', line: 'line', hair: 'hair' };
    this.#disposePaint();
    this.#wire.color = colourOf(this.#host, 'line');
    for (const [key, name] of Object.entries(named)) {
      this.#paint[key] = new MeshLambertMaterial({ color: colourOf(this.#host, name) });
    }
    this.#scene.clear();
    const hair = colourOf(this.#host, 'hair');
    const grid = new GridHelper(3, 30, hair, hair);
    this.#grid = grid;
    grid.rotateX(Math.PI / 2);
    const light = new DirectionalLight(0xffffff, 1.4);
    light.position.set(2, 3, 5);
    this.#scene.add(grid, light, new HemisphereLight(0xffffff, 0x888888, 1.8), this.#model);
  }

  #disposePaint() {
    Object.values(this.#paint).forEach((paint) => paint.dispose());
    this.#grid?.geometry.dispose();
    this.#grid?.material.dispose();
  }

  /** Fits to the size of its host. */
  resize() {
    const { clientWidth: width, clientHeight: height } = this.#host;
    if (!width || !height) return;
    this.#camera.aspect = width / height;
    // A narrow screen looks from further off, so that both wheels stay in.
    this.#camera.zoom = Math.min(1.3, width / height / 1.25);
    this.#camera.updateProjectionMatrix();
    this.#renderer.setSize(width, height);
    this.#labels.setSize(width, height);
    this.draw();
  }

  /** Shows the linkage as it stands. */
  show(turn: Turn, shows: Shows, words: GroundWords) {
    this.#clear();
    for (const side of ['left', 'right'] as const) {
      const wheel = turn.wheels[side];
      if (!wheel) continue;
      this.#links(wheel, shows);
      if (shows.tyres) this.#tyre(wheel, turn);
      if (shows.axes) this.#axis(wheel);
      if (shows.ground) this.#ground(wheel, words[side]);
    }
    const rack = rackOf(turn);
    if (rack) this.#rod(rack.left, rack.right, 'rack', 'accent');
    this.draw();
  }

  #clear() {
    this.#model.traverse((object) => {
      if (object instanceof Mesh || object instanceof LineSegments) object.geometry.dispose();
      if (object instanceof CSS2DObject) object.element.remove();
    });
    this.#model.clear();
  }

  #links(wheel: Wheel, shows: Shows) {
    const points = wheel.points ?? {};
    for (const [a, b, kind] of wheel.links ?? []) {
      const from = points[a];
      const to = points[b];
      if (!from || !to || kind === 'axis') continue;
      this.#rod(from, to, kind, kind === 'tie_rod' ? 'accent' : kind === 'arm' ? 'soft' : 'ink');
    }
    for (const [name, point] of Object.entries(points)) {
      if (name.startsWith('axis_')) continue;
      const ball = new Mesh(new SphereGeometry(0.013, 20, 14), this.#paint.ink);
      ball.position.copy(vector(point));
      this.#model.add(ball);
      if (shows.joints) this.#label(name.replaceAll('_', ' '), vector(point));
    }
  }

  #rod(from: Point, to: Point, kind: string, paint: string) {
    const a = vector(from);
    const b = vector(to);
    const radius = thick[kind] ?? 0.008;
    const rod = new Mesh(
      new CylinderGeometry(radius, radius, a.distanceTo(b), 14),
      this.#paint[paint],
    );
    rod.position.copy(a).lerp(b, 0.5);
    rod.quaternion.setFromUnitVectors(up, b.sub(a).normalize());
    this.#model.add(rod);
  }

  #tyre(wheel: Wheel, turn: Turn) {
    if (!wheel.centre || !wheel.spin) return;
    const { radius, width } = tyreOf(turn);
    const geometry = new CylinderGeometry(radius, radius, width, 40, 1, true);
    const tyre: Object3D = new LineSegments(new EdgesGeometry(geometry, 5), this.#wire);
    geometry.dispose();
    tyre.position.copy(vector(wheel.centre));
    tyre.quaternion.setFromUnitVectors(up, vector(wheel.spin).normalize());
    this.#model.add(tyre);
  }

  #axis(wheel: Wheel) {
    if (!wheel.axis) return;
    const lower = vector(wheel.axis.lower);
    const upper = vector(wheel.axis.upper);
    const top = upper.clone().add(upper.clone().sub(lower).multiplyScalar(0.6));
    const foot = wheel.ground?.axis ? vector(wheel.ground.axis) : lower;
    this.#rod(foot.toArray(), top.toArray(), 'axis', 'accent');
    this.#label('steering axis', top);
  }

  #ground(wheel: Wheel, words: { scrub: string; trail: string }) {
    const { axis, patch } = wheel.ground ?? {};
    if (!axis || !patch || wheel.steer === null) return;
    const foot = vector(axis);
    const contact = vector(patch);
    const heading = new Vector3(Math.cos(wheel.steer), Math.sin(wheel.steer), 0);
    const corner = foot.clone().sub(heading.multiplyScalar(foot.clone().sub(contact).dot(heading)));
    this.#rod(foot.toArray(), corner.toArray(), 'foot', 'accent');
    this.#rod(corner.toArray(), contact.toArray(), 'foot', 'ink');
    this.#label(`scrub ${words.scrub}, trail ${words.trail}`, contact);
  }

  #label(text: string, at: Vector3) {
    const element = document.createElement('span');
    element.textContent = text;
    const label = new CSS2DObject(element);
    label.center.set(0, 1.2);
    label.position.copy(at);
    this.#model.add(label);
  }

  /** Labels go inwards from where they stand, so that none is cut off at the edge. */
  #turnLabels() {
    for (const label of this.#model.children) {
      if (!(label instanceof CSS2DObject)) continue;
      label.center.x = label.position.clone().project(this.#camera).x > 0 ? 1 : 0;
    }
  }

  /** Turns the view by the keys: about the upright, and up or down [rad]. */
  orbit(round: number, over: number) {
    const arm = this.#camera.position.clone().sub(this.#controls.target);
    arm.applyAxisAngle(new Vector3(0, 0, 1), round);
    const level = new Vector3(-arm.y, arm.x, 0).normalize();
    const tipped = arm.clone().applyAxisAngle(level, -over);
    if (Math.abs(tipped.z) < 0.97 * tipped.length()) arm.copy(tipped);
    this.#camera.position.copy(this.#controls.target).add(arm);
    this.#controls.update();
    this.draw();
  }

  /** Looks from one of the places. */
  lookFrom(stand: Stand) {
    this.#camera.position.set(...stands[stand]);
    this.#controls.update();
    this.draw();
  }

  /** Goes nearer (a factor below 1) or further off. */
  approach(factor: number) {
    const arm = this.#camera.position.clone().sub(this.#controls.target).multiplyScalar(factor);
    this.#camera.position.copy(this.#controls.target).add(arm);
    this.#controls.update();
    this.draw();
  }

  /** Draws in the next frame, once. */
  draw() {
    if (this.#waiting) return;
    this.#waiting = true;
    requestAnimationFrame(() => {
      this.#waiting = false;
      this.#renderer.render(this.#scene, this.#camera);
      this.#turnLabels();
      this.#labels.render(this.#scene, this.#camera);
    });
  }

  /** What is seen, as a picture: the linkage with its labels under a title. */
  picture(title: string): Promise<Blob | null> {
    this.#renderer.render(this.#scene, this.#camera);
    return onSheet(this.#renderer.domElement, this.#labels.domElement, title);
  }

  dispose() {
    this.#clear();
    this.#disposePaint();
    this.#wire.dispose();
    this.#controls.dispose();
    this.#renderer.dispose();
    this.#host.replaceChildren();
  }
}
