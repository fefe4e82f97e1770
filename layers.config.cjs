// The walls of docs/architecture.md, checked by machine. Each rule says what to do instead.
const src = (names) => `^packages/(${names})/src/`;
const other = (names) => `^packages/(?!(${names})/)`;
const apart = /\.(test|test-d|fixture|bench)\.tsx?$/.source;

const only = (name, may) => ({
  name: `${name}-imports-only-${may || 'itself'}`.replace(/\|/g, '-'),
  comment: `packages/${name} stands on ${may ? may.split('|').join(', ') : 'nothing of ours'}. Move what is needed down, or pass it in as an argument.`,
  severity: 'error',
  from: { path: src(name), pathNot: apart },
  to: { path: other([name, may].filter(Boolean).join('|')) },
});

module.exports = {
  forbidden: [
    only('geometry', ''),
    only('uncertainty', ''),
    only('imaging', 'geometry'),
    only('knee', 'geometry|uncertainty'),
    only('phantom', 'geometry|uncertainty|knee'),
    only('cases', 'geometry|uncertainty|imaging|knee'),
    only('sheets', 'geometry|uncertainty|knee'),
    {
      name: 'no-cycles',
      comment: 'Two files that need each other are one subject, or hide a third: take it out.',
      severity: 'error',
      from: {},
      to: { circular: true },
    },
    {
      name: 'packages-know-no-app',
      comment: 'Apps parse, call and print. What a package needs of an app is an argument.',
      severity: 'error',
      from: { path: '^packages/' },
      to: { path: '^apps/' },
    },
    {
      name: 'apps-stand-apart',
      comment: 'Logic that two apps need belongs in a package.',
      severity: 'error',
      from: { path: '^apps/([^/]+)/' },
      to: { path: '^apps/', pathNot: '^apps/$1/' },
    },
    {
      name: 'no-outside-world',
      comment: 'These packages are pure: no files, network or clock. Let the app read, and pass what it read.',
      severity: 'error',
      from: { path: src('geometry|uncertainty|imaging|knee|phantom|sheets'), pathNot: apart },
      to: { dependencyTypes: ['core'] },
    },
    {
      name: 'packages-by-name',
      comment: 'Import another package by its name, never by a path into its src.',
      severity: 'error',
      from: { path: '^packages/([^/]+)/src/' },
      to: { path: '^packages/', pathNot: '^packages/$1/', dependencyTypes: ['local'] },
    },
    {
      name: 'not-ones-own-index',
      comment: 'Inside a package import the file that has the thing, not the package index.',
      severity: 'error',
      from: { path: '^packages/([^/]+)/src/', pathNot: apart },
      to: { path: '^packages/$1/src/index\\.ts$' },
    },
    {
      name: 'no-test-code-in-the-product',
      comment: 'Fixtures and tests are for tests. Move what the product needs out of them.',
      severity: 'error',
      from: { pathNot: [apart, '^tests/', '^speed/'] },
      to: { path: apart },
    },
    {
      name: 'three-only-where-it-draws',
      comment:
        'The 3D library stays in apps/web/src/three and behind geometry/mesh-query. Plan a scene as data in apps/web/src/scene.',
      severity: 'error',
      from: { path: '^(packages|apps)/', pathNot: ['^apps/web/src/three/', '^packages/geometry/src/mesh-query\\.ts$'] },
      to: { path: 'node_modules/(three|three-mesh-bvh)/' },
    },
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    exclude: { path: '/dist/' },
    tsPreCompilationDeps: true,
    enhancedResolveOptions: {
      exportsFields: ['exports'],
      conditionNames: ['kerfline-source', 'import', 'default', 'types'],
      extensions: ['.ts', '.tsx', '.js', '.mjs'],
    },
  },
};
