/** The solid picture on the graphics card. Loaded, with the library three, when the reader opens it. */
import {
  BackSide, Box3, Box3Helper, BoxGeometry, BufferAttribute, BufferGeometry, Color, Data3DTexture, DataTexture, DirectionalLight, DoubleSide, GLSL3,
  HalfFloatType, HemisphereLight, LinearFilter, LineBasicMaterial, Mesh, MeshLambertMaterial, OrthographicCamera, PerspectiveCamera, Plane, RedFormat, RGBAFormat, Scene, ShaderMaterial,
  Vector3, WebGLRenderer,
} from 'three';
import type { Camera, Point3, VolumeGrid } from '../../lib/index.ts';
import { colours, type ColourMap } from '../../widgets/film/grey.ts';
import type { Greys } from '../scan/model.ts';
import { dimmest, shading, type Look } from './look.ts';
import type { SolidKind } from './model.ts';
import { middleOf, reach } from './planes.ts';
import { fragment, vertex } from './shader.ts';
import type { Texture } from './texture.ts';
import type { Surface } from './worker.ts';

export interface Drawing {
  readonly shows: SolidKind;
  readonly look: Look;
  readonly camera: Camera;
  readonly greys: Greys;
  readonly map: ColourMap;
  /** Share of the camera's pixels along each side that are worked out, in the lower left of the canvas: less while it moves. */
  readonly fineness: number;
}

export interface Stage {
  setTexture(texture: Texture): void;
  setSurface(surface: Surface | undefined): void;
  /** Compiles what is needed for the first picture, without holding up the page where the browser can. */
  prepare(): Promise<void>;
  draw(drawing: Drawing): void;
  /** Resolves when the card has finished what was drawn. */
  settled(): Promise<void>;
  /** Where a point in space falls, in shares of the picture from its left and top edge. */
  placeOf(point: Point3): [x: number, y: number];
  /** The longest edge of a volume that this card takes. */
  readonly mostAlong: number;
  close(): void;
}

/** size: of the canvas's first picture; set before anything is sent to the card, it waits for nothing. Throws where the browser gives no WebGL 2. */
export function openStage(canvas: HTMLCanvasElement, grid: VolumeGrid, [width, height]: readonly [number, number]): Stage {
  Object.assign(canvas, { width, height });
  const context = canvas.getContext('webgl2', { antialias: true, alpha: false, powerPreference: 'high-performance', preserveDrawingBuffer: true });
  if (!context) throw new Error('This browser gives no WebGL 2');
  const renderer = new WebGLRenderer({ canvas, context });
  renderer.debug.checkShaderErrors = import.meta.env.DEV;
  renderer.localClippingEnabled = true;
  const scene = new Scene();
  const orthographic = new OrthographicCamera(), perspective = new PerspectiveCamera();
  for (const each of [orthographic, perspective]) each.up.set(0, 0, 1);

  const middle = middleOf(grid), half = reach(grid);
  const vector = ([x, y, z]: Point3) => new Vector3(x, y, z);
  const box = new Mesh(new BoxGeometry(2 * half[0], 2 * half[1], 2 * half[2]), new ShaderMaterial({
    glslVersion: GLSL3, vertexShader: vertex, fragmentShader: fragment, side: BackSide, depthTest: false, depthWrite: false,
    uniforms: Object.fromEntries(Object.entries({
      voxels: null, colours: null, unit: 1, corner: new Vector3(), size: new Vector3(1, 1, 1), voxel: new Vector3(), least: new Vector3(), most: new Vector3(),
      perspective: false, eye: new Vector3(), forward: new Vector3(), longest: 1, shows: 0, threshold: 0, ramp: 1, opacity: 1, shading, low: 0, high: 1, dimmest,
    }).map(([name, value]) => [name, { value }])),
  }));
  box.position.copy(vector(middle));
  scene.add(box);
  const uniforms = (box.material as ShaderMaterial).uniforms;

  const frame = new Box3Helper(new Box3(vector(middle).sub(vector(half)), vector(middle).add(vector(half))));
  (frame.material as LineBasicMaterial).color.set(0x5a5b5b);
  frame.renderOrder = 1;
  scene.add(frame);

  const planes = [0, 1, 2].flatMap((axis) => [1, -1].map((sign) => new Plane(new Vector3().setComponent(axis, sign))));
  const lamp = new DirectionalLight(0xffffff, 2.6), sky = new HemisphereLight(0xffffff, 0x888888, 0.9);
  scene.add(lamp, lamp.target, sky);
  const skin = new MeshLambertMaterial({ color: 0xd6d4cc, side: DoubleSide, clippingPlanes: planes });
  let body: Mesh | undefined;
  let step = grid.voxelSize / 2;
  let map: ColourMap | undefined;
  let last: OrthographicCamera | PerspectiveCamera = orthographic;

  const takeColours = (wanted: ColourMap) => {
    if (map === wanted) return;
    map = wanted;
    (uniforms.colours.value as DataTexture | null)?.dispose();
    const texture = new DataTexture(new Uint8Array(colours(wanted).slice().buffer), 256, 1, RGBAFormat);
    texture.magFilter = texture.minFilter = LinearFilter;
    texture.needsUpdate = true;
    uniforms.colours.value = texture;
  };
  const dropBody = () => {
    if (!body) return;
    scene.remove(body);
    body.geometry.dispose();
    body = undefined;
  };
  const aim = ({ projection, eye, target, width, height, field }: Camera) => {
    const distance = vector(eye).distanceTo(vector(target));
    last = projection === 'perspective' ? perspective : orthographic;
    const near = distance / 100, far = 4 * distance;
    if (projection === 'perspective') Object.assign(perspective, { near, far, aspect: width / height, fov: (2 * Math.atan(field / 2 / distance) * 180) / Math.PI });
    else Object.assign(orthographic, { near, far, top: field / 2, bottom: -field / 2, left: (-field * width) / height / 2, right: (field * width) / height / 2 });
    last.position.copy(vector(eye));
    last.lookAt(vector(target));
    last.updateProjectionMatrix();
    last.updateMatrixWorld();
    lamp.position.copy(vector(eye)).addScaledVector(new Vector3(0.25, 0.35, 0).transformDirection(last.matrixWorld), distance);
    lamp.target.position.copy(vector(target));
  };

  return {
    mostAlong: context.getParameter(context.MAX_3D_TEXTURE_SIZE) as number,
    setTexture({ width, height, depth, data, unit, every }) {
      (uniforms.voxels.value as Data3DTexture | null)?.dispose();
      const texture = new Data3DTexture(data, width, height, depth);
      Object.assign(texture, { format: RedFormat, type: HalfFloatType, minFilter: LinearFilter, magFilter: LinearFilter, unpackAlignment: 2, needsUpdate: true });
      uniforms.voxels.value = texture;
      uniforms.unit.value = unit;
      const edge = every * grid.voxelSize;
      step = edge / 2;
      uniforms.size.value.set(width * edge, height * edge, depth * edge);
      // Cubes are counted from the left, the top and the bottom face; where they do not divide the volume they reach beyond the other one.
      uniforms.corner.value.set(middle[0] - half[0], middle[1] + half[1] - height * edge, middle[2] - half[2]);
      uniforms.voxel.value.set(1 / width, 1 / height, 1 / depth);
    },
    setSurface(surface) {
      dropBody();
      if (!surface) return;
      const geometry = new BufferGeometry();
      geometry.setAttribute('position', new BufferAttribute(surface.positions, 3));
      geometry.setAttribute('normal', new BufferAttribute(surface.normals, 3));
      geometry.setIndex(new BufferAttribute(surface.triangles, 1));
      body = new Mesh(geometry, skin);
      scene.add(body);
    },
    async prepare() {
      takeColours('grey');
      if (context.getExtension('KHR_parallel_shader_compile')) await renderer.compileAsync(scene, last);
    },
    draw({ shows, look, camera, greys, map: wanted, fineness }) {
      // A new size of the canvas waits for all that was drawn before; a smaller part of it does not.
      const { width, height } = camera;
      if (canvas.width !== width || canvas.height !== height) renderer.setSize(width, height, false);
      renderer.setViewport(0, 0, Math.max(1, Math.round(width * fineness)), Math.max(1, Math.round(height * fineness)));
      aim(camera);
      takeColours(wanted);
      const surface = shows === 'surface';
      box.visible = !surface && Boolean(uniforms.voxels.value);
      frame.visible = shows !== 'sum';
      if (body) body.visible = surface;
      scene.background = new Color(shows === 'sum' ? 0xffffff : 0x000000);
      look.clip.forEach(([from, to], axis) => {
        uniforms.least.value.setComponent(axis, from);
        uniforms.most.value.setComponent(axis, to);
        planes[2 * axis].constant = -from;
        planes[2 * axis + 1].constant = to;
      });
      const values = {
        perspective: camera.projection === 'perspective', longest: step / Math.min(1, fineness), shows: shows === 'maximum' ? 1 : shows === 'sum' ? 2 : 0,
        threshold: look.threshold, ramp: look.ramp, opacity: look.opacity, low: greys.low, high: greys.high,
      };
      for (const [name, value] of Object.entries(values)) uniforms[name].value = value;
      uniforms.eye.value.copy(vector(camera.eye));
      uniforms.forward.value.copy(vector(camera.target)).sub(vector(camera.eye)).normalize();
      renderer.render(scene, last);
    },
    async settled() {
      const fence = context.fenceSync(context.SYNC_GPU_COMMANDS_COMPLETE, 0);
      context.flush();
      if (!fence) return;
      while (!context.isContextLost() && context.getSyncParameter(fence, context.SYNC_STATUS) !== context.SIGNALED) await new Promise((resolve) => setTimeout(resolve, 4));
      context.deleteSync(fence);
    },
    placeOf(point) {
      const { x, y } = vector(point).project(last);
      return [(x + 1) / 2, (1 - y) / 2];
    },
    close() {
      dropBody();
      skin.dispose();
      box.geometry.dispose();
      (box.material as ShaderMaterial).dispose();
      (uniforms.voxels.value as Data3DTexture | null)?.dispose();
      (uniforms.colours.value as DataTexture | null)?.dispose();
      frame.dispose();
      renderer.dispose();
      context.getExtension('WEBGL_lose_context')?.loseContext();
    },
  };
}
