import { z } from 'zod';
import { kitSchema } from './kit-schema.ts';

/**
 * The form of a kit file as JSON Schema (draft 2020-12), for editors and other programs. What no schema can say (references
 * between parts, ranges the right way round) only `checkKit` finds.
 */
export const kitJsonSchema = (): object => ({
  title: 'A kit: mechanical cutting guides and the components they are for',
  ...z.toJSONSchema(kitSchema),
});
