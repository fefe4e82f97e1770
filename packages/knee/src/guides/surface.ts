/** Which way the surface at a touched site faces: the axis it is felt along, and the sign that points into the bone. */
export const facing = (site: string): { readonly axis: 1 | 2; readonly into: 1 | -1 } =>
  site.startsWith('posterior') || site.startsWith('patellaFacet')
    ? { axis: 1, into: 1 }
    : site === 'patellaAnterior'
      ? { axis: 1, into: -1 }
      : site.startsWith('plateau')
        ? { axis: 2, into: -1 }
        : { axis: 2, into: 1 };
