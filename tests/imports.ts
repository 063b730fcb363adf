import { builtinModules } from 'node:module';
import { posix } from 'node:path';
import ts from 'typescript';
import { impurities } from './purity.ts';

/** The place of each folder: it imports only from lower numbers and from itself, types included. */
export const places: Readonly<Record<string, number>> = {
  vehicle: 0,
  sequence: 0,
  rulebook: 1,
  scan: 2,
  resolve: 2,
  drive: 2,
  'write-up': 2,
  'checklist.ts': 3,
  job: 4,
  store: 5,
  server: 6,
  // Its `serve` opens the server's door.
  cli: 7,
  components: 6,
  app: 6,
};

/** Folders up to this number know no clock, disk, network or randomness. */
const lastPure = 4;

const inBrowser = new Set(['components', 'app']);
const readsRules = new Set(['server', 'cli', 'app']);
const drawers = new Set(['core', 'common', 'utils', 'util', 'types', 'helpers', 'helper']);
const builtins = new Set(builtinModules);

interface Import {
  /** As written; undefined where it is computed and cannot be followed. */
  readonly specifier: string | undefined;
  readonly line: number;
}

/** What is wrong with one module: `path:line: sentence` each. The path is relative to the top, with forward slashes. */
export function violations(path: string, text: string): string[] {
  const from = folderOf(path);
  if (from === undefined || !(from in places)) return [`${path}:1: stands in no folder that has a place in the house`];
  const source = ts.createSourceFile(path, text, ts.ScriptTarget.Latest, true);
  const found = importsOf(source).flatMap(({ specifier, line }) => {
    const fault =
      specifier === undefined ? 'imports what it computes: no one can follow it' : faultOf(path, from, specifier);
    return fault ? [`${path}:${line}: ${fault}`] : [];
  });
  return [...found, ...impurities(source, isPure(from) ? 'pure' : from === 'components' ? 'component' : 'free')];
}

/** A name on the path that says nothing about what lies in it. */
export function drawerIn(path: string): string | undefined {
  return path
    .split('/')
    .map((part) => part.split('.')[0] ?? '')
    .find((stem) => drawers.has(stem));
}

function faultOf(path: string, from: string, specifier: string): string | undefined {
  if (specifier.startsWith('/')) return `imports ${specifier} by an absolute path`;
  if (!specifier.startsWith('.')) return faultOfPackage(from, specifier);

  const target = posix.join(posix.dirname(path), specifier.replace(/[?#].*$/, ''));
  if (target.startsWith('rules/'))
    return readsRules.has(from) ? undefined : `imports ${target}: only ${[...readsRules].join(', ')} read rules`;
  const to = folderOf(target);
  if (to === undefined || !(to in places)) return `imports ${target}, which lies outside the house`;
  return mayImport(from, to)
    ? undefined
    : `imports ${target}: ${from} (${places[from]}) may not import from ${to} (${places[to]})`;
}

function faultOfPackage(from: string, specifier: string): string | undefined {
  const name = specifier.replace(/^node:/, '');
  const isBuiltin = specifier.startsWith('node:') || builtins.has(name) || builtins.has(name.split('/')[0] ?? '');
  if (isBuiltin && isPure(from)) return `imports ${specifier}: ${from} is pure`;
  if (isBuiltin && inBrowser.has(from)) return `imports ${specifier}: ${from} runs in a browser`;
  return undefined;
}

function mayImport(from: string, to: string): boolean {
  if (from === to) return true;
  if (from === 'app') return isPure(to) || to === 'components';
  if (from === 'components') return isPure(to);
  return place(to) < place(from);
}

function isPure(folder: string): boolean {
  return place(folder) <= lastPure;
}

function place(folder: string): number {
  return places[folder] ?? Number.POSITIVE_INFINITY;
}

function folderOf(path: string): string | undefined {
  const [top, next] = path.split('/');
  if (top === 'components') return 'components';
  return top === 'src' ? next : undefined;
}

function importsOf(source: ts.SourceFile): Import[] {
  const found: Import[] = source.referencedFiles.map((file) => ({ specifier: `./${file.fileName}`, line: 1 }));
  const visit = (node: ts.Node): void => {
    for (const target of targetsOf(node)) {
      const specifier = target && ts.isStringLiteralLike(target) ? target.text : undefined;
      found.push({ specifier, line: source.getLineAndCharacterOfPosition(node.getStart(source)).line + 1 });
    }
    ts.forEachChild(node, visit);
  };
  visit(source);
  return found;
}

/** The nodes that say what a node imports: none for a node that imports nothing. */
function targetsOf(node: ts.Node): (ts.Node | undefined)[] {
  if (ts.isImportDeclaration(node)) return [node.moduleSpecifier];
  if (ts.isExportDeclaration(node)) return node.moduleSpecifier ? [node.moduleSpecifier] : [];
  if (ts.isImportTypeNode(node)) return [ts.isLiteralTypeNode(node.argument) ? node.argument.literal : undefined];
  if (ts.isExternalModuleReference(node)) return [node.expression];
  if (ts.isNewExpression(node)) return isModuleUrl(node) ? [node.arguments?.[0]] : [];
  if (!ts.isCallExpression(node)) return [];
  const callee = node.expression;
  if (callee.kind === ts.SyntaxKind.ImportKeyword || (ts.isIdentifier(callee) && callee.text === 'require'))
    return [node.arguments[0]];
  return /^import\.meta\.glob\b/.test(callee.getText()) ? globsOf(node.arguments[0]) : [];
}

/** A bundler follows `new URL('./worker.ts', import.meta.url)` as it follows an import. */
function isModuleUrl({ expression, arguments: given }: ts.NewExpression): boolean {
  const [target, base] = given ?? [];
  if (expression.getText() !== 'URL' || base?.getText() !== 'import.meta.url' || !target) return false;
  return ts.isStringLiteralLike(target) && /\.[cm]?[jt]s$/.test(target.text);
}

function globsOf(argument: ts.Expression | undefined): (ts.Node | undefined)[] {
  return argument && ts.isArrayLiteralExpression(argument) ? [...argument.elements] : [argument];
}
