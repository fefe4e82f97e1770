import { type Drawing, toSvg } from '@kerfline/sheets';
import { useId } from 'react';

/** A drawing at its true size, or as wide as its place allows. */
export function Picture({ drawing, fit = false }: { readonly drawing: Drawing; readonly fit?: boolean }) {
  const id = useId().replace(/[^A-Za-z0-9]/g, '');
  return (
    <div
      className={fit ? 'picture fit' : 'picture'}
      // The drawing is made by our own code from numbers; its words are escaped where it is made.
      // biome-ignore lint/security/noDangerouslySetInnerHtml: see above
      dangerouslySetInnerHTML={{ __html: toSvg(drawing, id) }}
    />
  );
}
