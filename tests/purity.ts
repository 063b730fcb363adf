import ts from 'typescript';

/** What a module may reach for: a pure one nothing outside, a component no network, the rest what it likes. */
export type Freedom = 'pure' | 'component' | 'free';

const network = ['fetch', 'XMLHttpRequest', 'WebSocket', 'EventSource', 'sendBeacon', 'WebTransport'];
const timers = ['setTimeout', 'setInterval', 'setImmediate', 'requestAnimationFrame', 'requestIdleCallback'];
const clocks = ['performance', 'Temporal'];
const storage = ['localStorage', 'sessionStorage', 'indexedDB', 'caches'];
// Through these every banned name could be had as a property.
const surroundings = ['process', 'globalThis', 'window', 'self', 'global', 'document', 'navigator', 'eval', 'Function'];

const bannedBare: Readonly<Record<Freedom, ReadonlySet<string>>> = {
  pure: new Set([...network, ...timers, ...clocks, ...storage, ...surroundings]),
  component: new Set(network),
  free: new Set(),
};

/** Globals that a pure module may use in part: only these members, and never as a value of their own. */
const inPart: Readonly<Record<string, (member: string) => boolean>> = {
  Math: (member) => member !== 'random',
  Date: (member) => member === 'UTC' || member === 'parse',
  crypto: (member) => member === 'subtle',
};

/** Uses of clock, disk, network and randomness: `path:line: sentence` each. A local that bears such a name counts too. */
export function impurities(source: ts.SourceFile, freedom: Freedom): string[] {
  const found: string[] = [];
  const visit = (node: ts.Node): void => {
    const what = reach(node, freedom);
    if (what) found.push(`${source.fileName}:${lineOf(source, node)}: ${sentence(what, freedom)}`);
    ts.forEachChild(node, visit);
  };
  visit(source);
  return found;
}

function sentence(what: string, freedom: Freedom): string {
  if (freedom === 'component') return `uses ${what}: a component takes properties and never fetches`;
  return `uses ${what}: this folder is pure (a local of that name needs another name)`;
}

function reach(node: ts.Node, freedom: Freedom): string | undefined {
  if (freedom === 'pure' && ts.isMetaProperty(node) && node.keywordToken === ts.SyntaxKind.ImportKeyword)
    return 'import.meta';
  if (!ts.isIdentifier(node) || isOnlyAName(node)) return undefined;
  if (bannedBare[freedom].has(node.text)) return node.text;
  return freedom === 'pure' ? partial(node) : undefined;
}

function partial(node: ts.Identifier): string | undefined {
  const allows = Object.hasOwn(inPart, node.text) ? inPart[node.text] : undefined;
  if (!allows) return undefined;
  const { parent } = node;
  if (ts.isPropertyAccessExpression(parent))
    return allows(parent.name.text) ? undefined : `${node.text}.${parent.name.text}`;
  if (node.text !== 'Date') return `${node.text} as a value`;
  if (isOperandOfInstanceof(node)) return undefined;
  if (!ts.isNewExpression(parent)) return 'Date as a value';
  return parent.arguments?.length ? undefined : 'new Date()';
}

function isOperandOfInstanceof(node: ts.Identifier): boolean {
  return ts.isBinaryExpression(node.parent) && node.parent.operatorToken.kind === ts.SyntaxKind.InstanceOfKeyword;
}

/** A member, a key or a type: the word stands there, the global does not. `navigator.sendBeacon` is told by its member. */
function isOnlyAName(node: ts.Identifier): boolean {
  const { parent } = node;
  if (ts.isPropertyAccessExpression(parent) && parent.name === node)
    return !isSurrounding(parent.expression) && node.text !== 'sendBeacon';
  if (ts.isExpressionWithTypeArguments(parent)) return !isSuperclass(parent);
  if (ts.isTypeNode(parent) || ts.isQualifiedName(parent) || ts.isTypeElement(parent)) return true;
  if (ts.isTypeAliasDeclaration(parent) || ts.isInterfaceDeclaration(parent)) return true;
  const isKey = ts.isPropertyAssignment(parent) || ts.isClassElement(parent) || ts.isEnumMember(parent);
  return isKey && parent.name === node;
}

function isSurrounding(node: ts.Expression): boolean {
  return ts.isIdentifier(node) && surroundings.includes(node.text);
}

function isSuperclass({ parent }: ts.ExpressionWithTypeArguments): boolean {
  return ts.isHeritageClause(parent) && parent.token === ts.SyntaxKind.ExtendsKeyword && ts.isClassLike(parent.parent);
}

function lineOf(source: ts.SourceFile, node: ts.Node): number {
  return source.getLineAndCharacterOfPosition(node.getStart(source)).line + 1;
}
