// The page docs/sources.md as text: every clinical default of the domain, and the spreads of the kits.

const escaped = (text) => String(text).replaceAll('|', '\\|');
const row = (cells) => `| ${cells.map(escaped).join(' | ')} |`;
const table = (heads, rows) => [row(heads), row(heads.map(() => '---')), ...rows.map(row)].join('\n');

/** `Group: thing` as its two parts. */
const parts = (name) => {
  const at = name.indexOf(': ');
  return [name.slice(0, at), name.slice(at + 2)];
};

const amount = (d) => {
  if ('value' in d) return String(d.value);
  return 'mean' in d ? `${d.mean} ± ${d.sd}` : `${d.range[0]} to ${d.range[1]}`;
};
const origin = (d) => (d.sdSource === undefined ? d.source : `mean: ${d.source}; sd: ${d.sdSource}`);

/** What a link of a kit says of its own errors, as [field, value, unit]. */
function spreadsOf(link) {
  const own = ['ring', 'swing', 'core'].includes(link.kind) ? 'deg' : 'mm';
  const fields = [
    ['sd', link.sd, own],
    ['backlash', link.backlash, own],
    ['lockJump.mm', link.lockJump?.mm, 'mm'],
    ['lockJump.deg', link.lockJump?.deg, 'deg'],
    ['entrySdMm', link.entrySdMm, 'mm'],
    ['kerfSdMm', link.kerfSdMm, 'mm'],
    ['saw.coronalDeg', link.saw?.coronalDeg, 'deg'],
    ['saw.sagittalDeg', link.saw?.sagittalDeg, 'deg'],
  ];
  return fields.filter(([, value]) => value !== undefined && value !== 0);
}

/**
 * @param defaults what `clinicalDefaults()` gives
 * @param kits kits as their files hold them
 */
export function sourcesPage(defaults, kits) {
  const groups = [...new Set(defaults.map((d) => parts(d.name)[0]))];
  const sections = groups.map((group) => {
    const rows = defaults
      .filter((d) => parts(d.name)[0] === group)
      .map((d) => [parts(d.name)[1], amount(d), d.unit, d.usedFor, origin(d)]);
    return `### ${group}\n\n${table(['what', 'value', 'unit', 'used for', 'source'], rows)}`;
  });
  const ofKits = kits.map((kit) => {
    const rows = kit.guides.flatMap((guide) =>
      guide.links.flatMap((link) =>
        spreadsOf(link).map(([field, value, unit]) => [
          guide.id,
          link.id,
          field,
          value,
          unit,
          "the kit's own, invented",
        ]),
      ),
    );
    return `### ${kit.name} ${kit.version}\n\n${table(['guide', 'link', 'field', 'value', 'unit', 'source'], rows)}`;
  });
  return `# Sources

Made by \`npm run sources\` from the code and the kits; a test fails when this page is not what they say.

## Clinical defaults

Numbers with a clinical meaning that nobody measured on this leg: limits, weights, fences, what stands for an unknown. A source is a
publication, or one of three sentences: "working default, no source" (chosen by who wrote the program), "common practice, no
source", "from memory" (published, but not read again when the number was written down). Parameters of the landmark search are
in [methods](methods.md).

${sections.join('\n\n')}

## Kits

Spreads that a kit says of its own links; 0 is left out. They are data of the kit.

${ofKits.join('\n\n')}
`;
}
