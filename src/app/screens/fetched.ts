type Loads = Readonly<Record<string, () => Promise<unknown>>>;
type Modules<L extends Loads> = { [N in keyof L]: Awaited<ReturnType<L[N]>> };

/** Parts of the page that are fetched when somebody first wants them; `came` is told of each. */
export class Fetched<L extends Loads> {
  private readonly here: Partial<Modules<L>> = {};
  private readonly asked = new Set<keyof L>();

  constructor(
    private readonly loads: L,
    private readonly came: () => void,
  ) {}

  /** Whether it can be shown; if not, it is on its way. */
  has(name: keyof L): boolean {
    return this.get(name) !== undefined;
  }

  /** What it exports, once it is here. */
  get<N extends keyof L>(name: N): Modules<L>[N] | undefined {
    if (!this.here[name] && !this.asked.has(name)) {
      this.asked.add(name);
      (this.loads[name] as L[N])().then(
        (module) => {
          this.here[name] = module as Modules<L>[N];
          this.came();
        },
        () => this.asked.delete(name),
      );
    }
    return this.here[name];
  }
}
