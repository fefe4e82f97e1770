import type { Proof, Side } from '@kerfline/knee';
import { useEffect, useRef, useState } from 'react';
import {
  AmbientLight,
  BufferAttribute,
  BufferGeometry,
  DirectionalLight,
  DoubleSide,
  Group,
  Matrix4,
  Mesh,
  MeshStandardMaterial,
  PerspectiveCamera,
  Plane,
  Scene,
  Vector3,
  WebGLRenderer,
} from 'three';
import { OrbitControls } from 'three/addons/controls/OrbitControls.js';
import { frontView, outwardScale, type SolidBone, solidPlan } from '../scene/solid-plan.ts';
import { fetchSolid } from '../server.ts';

type Solid = Awaited<ReturnType<typeof fetchSolid>>;

const paper = 0xfbfbf8;
const bone = 0xe2e2d8;

function geometryOf(solid: Solid): BufferGeometry {
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(solid.positions, 3));
  geometry.setIndex(new BufferAttribute(solid.triangles, 1));
  geometry.computeVertexNormals();
  return geometry;
}

/** Owns the drawing context of one pair of bones, and gives it back. */
class Viewer {
  readonly #renderer: WebGLRenderer;
  readonly #scene = new Scene();
  readonly #camera = new PerspectiveCamera(28, 2, 1, 4000);
  readonly #controls: OrbitControls;
  readonly #geometries: ReadonlyMap<SolidBone['bone'], BufferGeometry>;
  readonly #side: Side;
  #bones = new Group();

  constructor(canvas: HTMLCanvasElement, solids: ReadonlyMap<SolidBone['bone'], Solid>, side: Side) {
    this.#side = side;
    this.#renderer = new WebGLRenderer({ canvas, antialias: true });
    this.#renderer.setClearColor(paper);
    this.#renderer.localClippingEnabled = true;
    this.#geometries = new Map([...solids].map(([name, solid]) => [name, geometryOf(solid)]));
    const sun = new DirectionalLight(0xffffff, 2.2);
    sun.position.set(-200, 300, 500);
    this.#scene.add(new AmbientLight(0xffffff, 1.3), sun);
    this.#camera.up.set(...frontView.up);
    this.#camera.position.set(...frontView.from);
    this.#controls = new OrbitControls(this.#camera, canvas);
    this.#controls.target.set(...frontView.at);
    this.#controls.addEventListener('change', () => this.draw());
    this.#controls.update();
  }

  /** Lays out bones and fragments anew. */
  show(plan: readonly SolidBone[]): void {
    this.#scene.remove(this.#bones);
    this.#bones = new Group();
    const [sx, sy, sz] = outwardScale(this.#side);
    const outward = new Matrix4().makeScale(sx, sy, sz);
    for (const { bone: name, cuts } of plan) {
      const geometry = this.#geometries.get(name);
      if (!geometry) continue;
      const place = new Matrix4().makeTranslation(0, 0, name === 'tibia' ? -26 : 0);
      const solid = (planes: readonly Plane[], lift: readonly [number, number, number]): Mesh => {
        const placed = outward
          .clone()
          .multiply(place)
          .multiply(new Matrix4().makeTranslation(...lift));
        const mesh = new Mesh(
          geometry,
          new MeshStandardMaterial({
            color: bone,
            roughness: 0.9,
            side: DoubleSide,
            clippingPlanes: planes.map((p) => p.clone().applyMatrix4(placed)),
          }),
        );
        mesh.matrixAutoUpdate = false;
        mesh.matrix.copy(placed);
        return mesh;
      };
      const kept = (c: SolidBone['cuts'][number]): Plane =>
        new Plane(new Vector3(-c.normal[0], -c.normal[1], -c.normal[2]), c.offset);
      this.#bones.add(solid(cuts.map(kept), [0, 0, 0]));
      cuts.forEach((cut, k) => {
        // A fragment is beyond its own cut and inside those that were made before it.
        const own = new Plane(new Vector3(...cut.normal), -cut.offset);
        this.#bones.add(solid([own, ...cuts.slice(0, k).map(kept)], cut.lift));
      });
    }
    this.#scene.add(this.#bones);
    this.draw();
  }

  resize(width: number, height: number): void {
    this.#renderer.setPixelRatio(Math.min(2, devicePixelRatio));
    this.#renderer.setSize(width, height, false);
    this.#camera.aspect = width / height;
    this.#camera.updateProjectionMatrix();
    this.draw();
  }

  draw(): void {
    this.#renderer.render(this.#scene, this.#camera);
  }

  dispose(): void {
    this.#controls.dispose();
    for (const geometry of this.#geometries.values()) geometry.dispose();
    this.#renderer.dispose();
  }
}

/** The bones as solids with the cuts made and the fragments lifted off. */
export function Solids({
  caseId,
  proof,
  side,
}: {
  readonly caseId: string;
  readonly proof: Proof;
  readonly side: Side;
}) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const viewer = useRef<Viewer>(undefined);
  const [failure, setFailure] = useState<string>();
  const [ready, setReady] = useState(false);
  useEffect(() => {
    const place = canvas.current;
    if (!place) return;
    let current = true;
    let watch: ResizeObserver | undefined;
    Promise.all([fetchSolid(caseId, 'femur'), fetchSolid(caseId, 'tibia')]).then(
      ([femur, tibia]) => {
        if (!current) return;
        try {
          const made = new Viewer(
            place,
            new Map([
              ['femur', femur],
              ['tibia', tibia],
            ]),
            side,
          );
          viewer.current = made;
          watch = new ResizeObserver(() => made.resize(place.clientWidth, place.clientHeight));
          watch.observe(place);
          setReady(true);
        } catch (e) {
          setFailure(`This browser cannot draw solids: ${e instanceof Error ? e.message : String(e)}`);
        }
      },
      (e: unknown) => current && setFailure(e instanceof Error ? e.message : String(e)),
    );
    return () => {
      current = false;
      watch?.disconnect();
      viewer.current?.dispose();
      viewer.current = undefined;
    };
  }, [caseId, side]);
  useEffect(() => {
    if (ready) viewer.current?.show(solidPlan(proof));
  }, [proof, ready]);
  if (failure) return <p className="verdict">{failure}</p>;
  return (
    <figure className="solids">
      <canvas ref={canvas} data-ready={ready} aria-label="Femur and tibia as solids, cuts made, fragments lifted off" />
      <figcaption className="note">
        Draw to turn, wheel to come nearer. Seen from the front at first, lateral to the{' '}
        {side === 'left' ? 'right' : 'left'}.
      </figcaption>
    </figure>
  );
}
