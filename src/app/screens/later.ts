/** What few need at once is fetched when it is first opened; without a signal it comes from the shelf. */
const LATER = {
  check: () => import('../../../components/check/final-check.ts'),
  'hand-over': () => import('../../../components/papers/hand-over.ts'),
  camera: () => import('../../../components/camera/vin-camera.ts'),
  pasted: () => import('../../../components/pasted/pasted-lines.ts'),
} as const;
export type Later = keyof typeof LATER;

export class Fetched {
  private readonly here = new Set<Later>();
  private readonly asked = new Set<Later>();

  constructor(private readonly came: () => void) {}

  /** Whether it can be shown; if not, it is on its way. */
  has(name: Later): boolean {
    if (!this.here.has(name) && !this.asked.has(name)) {
      this.asked.add(name);
      LATER[name]().then(
        () => {
          this.here.add(name);
          this.came();
        },
        () => this.asked.delete(name),
      );
    }
    return this.here.has(name);
  }
}
