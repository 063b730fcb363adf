/** What few need at once is fetched when it is first opened; without a signal it comes from the shelf. */
const LATER = {
  'write-up': () => import('./write-up.ts'),
  went: () => import('./went-list.ts'),
  car: () => import('./car-leaf.ts'),
  check: () => import('../../../components/check/final-check.ts'),
  'hand-over': () => import('./hand-over-leaf.ts'),
  codes: () => import('../../../components/codes/codes.ts'),
  paper: () => import('../../../components/papers/paper-head.ts'),
  printed: () => import('../printed.ts'),
  comeback: () => import('./comeback-leaf.ts'),
  rules: () => import('./reference-leaf.ts'),
  'rules-changed': () => import('./changed-rules.ts'),
  people: () => import('./people-leaf.ts'),
  learning: () => import('./learning-leaf.ts'),
  camera: () => import('../../../components/camera/vin-camera.ts'),
  pasted: () => import('../../../components/pasted/pasted-lines.ts'),
} as const;
export type Later = keyof typeof LATER;

type Modules = { [N in Later]: Awaited<ReturnType<(typeof LATER)[N]>> };

export class Fetched {
  private readonly here: Partial<Modules> = {};
  private readonly asked = new Set<Later>();

  constructor(private readonly came: () => void) {}

  /** Whether it can be shown; if not, it is on its way. */
  has(name: Later): boolean {
    return this.get(name) !== undefined;
  }

  /** What it exports, once it is here. */
  get<N extends Later>(name: N): Modules[N] | undefined {
    if (!this.here[name] && !this.asked.has(name)) {
      this.asked.add(name);
      LATER[name]().then(
        (module) => {
          this.here[name] = module as Modules[N];
          this.came();
        },
        () => this.asked.delete(name),
      );
    }
    return this.here[name] as Modules[N] | undefined;
  }
}
