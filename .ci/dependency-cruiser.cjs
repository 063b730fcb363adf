// Circles, strays and packages. The direction between the folders is asserted by tests/imports.test.ts.
const pure = '^src/(vehicle|sequence|rulebook|scan|resolve|drive|write-up|job)/|^src/checklist[.]ts$';

module.exports = {
  forbidden: [
    { name: 'no-circle', severity: 'error', from: {}, to: { circular: true } },
    {
      name: 'resolvable',
      comment: 'an address that the build fills in (?url) is no module',
      severity: 'error',
      from: {},
      to: { couldNotResolve: true, pathNot: '[?]url$' },
    },
    {
      name: 'pure-packages',
      comment: 'these folders plan the same on a server, on the command line and in a browser',
      severity: 'error',
      from: { path: pure },
      to: {
        path: 'node_modules',
        pathNot: 'node_modules/(@types/)?(zod|json-logic-js|minisearch|fastest-levenshtein|js-quantities)/',
      },
    },
    {
      name: 'no-test-packages',
      comment: 'what runs for a user may not lean on a development dependency',
      severity: 'error',
      from: { path: '^(src|components)/' },
      to: { dependencyTypes: ['npm-dev'], pathNot: 'node_modules/(@types|vite)/' },
    },
    { name: 'no-tests', severity: 'error', from: { path: '^(src|components)/' }, to: { path: '^tests/' } },
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    exclude: { path: '^dist/' },
    tsConfig: { fileName: 'tsconfig.json' },
    tsPreCompilationDeps: true,
    enhancedResolveOptions: {
      exportsFields: ['exports'],
      conditionNames: ['import', 'require', 'node', 'default', 'types'],
    },
  },
};
