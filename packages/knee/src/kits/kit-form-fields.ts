import { z } from 'zod';
import type { Plain } from './kit-form-path.ts';
import { isObject } from './kit-form-path.ts';
import { linkSchema } from './kit-schema.ts';

/** How one field of the kit form is typed by a person. */
export type FieldForm =
  | { readonly form: 'text' | 'number' | 'numbers' | 'texts' | 'range' | 'yesNo' | 'name' | 'legNumber' }
  | { readonly form: 'choice' | 'choices'; readonly options: readonly string[] };

/** One field of a part, as the kit's own schema has it: a new kind of link, or a new field of one, is in the form at once. */
export interface Field {
  /** Inside the part, such as `marks.everyMm` or `rows[1].offsetMm`. */
  readonly name: string;
  readonly form: FieldForm;
  /** What the word none makes of it: nothing, or the file's null; undefined where it may not be empty. */
  readonly none?: 'gone' | 'null' | undefined;
}

const linkKinds = linkSchema.options;
/** The schema of a name: where it stands for another part, renaming that part must reach it. */
const nameSchema = linkKinds[0]!.shape.id;

function formOf(schema: z.ZodType): FieldForm | undefined {
  if (schema === nameSchema) return { form: 'name' };
  if (schema instanceof z.ZodString) return { form: 'text' };
  if (schema instanceof z.ZodNumber) return { form: 'number' };
  if (schema instanceof z.ZodBoolean) return { form: 'yesNo' };
  if (schema instanceof z.ZodTuple) return { form: 'range' };
  if (schema instanceof z.ZodEnum) return { form: 'choice', options: schema.options.map(String) };
  if (schema instanceof z.ZodLiteral) return { form: 'choice', options: [...schema.values].map(String) };
  if (schema instanceof z.ZodUnion && schema.options.some((o) => o instanceof z.ZodNumber))
    return { form: 'legNumber' };
  if (schema instanceof z.ZodArray) {
    const { element } = schema;
    if (element instanceof z.ZodNumber) return { form: 'numbers' };
    if (element instanceof z.ZodString) return { form: 'texts' };
    if (element instanceof z.ZodEnum) return { form: 'choices', options: element.options.map(String) };
  }
  return undefined;
}

function fieldsIn(schema: z.ZodType, value: Plain | undefined, name: string, none: Field['none']): readonly Field[] {
  if (schema instanceof z.ZodOptional) return fieldsIn(schema.unwrap() as z.ZodType, value, name, 'gone');
  if (schema instanceof z.ZodNullable) return fieldsIn(schema.unwrap() as z.ZodType, value, name, 'null');
  if (schema instanceof z.ZodObject) {
    return Object.entries(schema.shape).flatMap(([key, inner]) =>
      fieldsIn(
        inner as z.ZodType,
        isObject(value) ? value[key] : undefined,
        name === '' ? key : `${name}.${key}`,
        none,
      ),
    );
  }
  if (schema instanceof z.ZodArray && schema.element instanceof z.ZodObject) {
    return Array.isArray(value)
      ? value.flatMap((item, i) => fieldsIn(schema.element as z.ZodType, item, `${name}[${i}]`, none))
      : [];
  }
  const form = formOf(schema);
  return form ? [{ name, form, none }] : [];
}

/** Fields of a schema's object, with those of the list items that this value has. */
export const fieldsOf = (schema: z.ZodType, value: Plain | undefined): readonly Field[] =>
  fieldsIn(schema, value, '', undefined);

/** Fields of one item of a list by the schema of the list. */
export function fieldsOfItem(list: z.ZodType, item: Plain | undefined): readonly Field[] {
  if (list instanceof z.ZodOptional) return fieldsOfItem(list.unwrap() as z.ZodType, item);
  return list instanceof z.ZodArray ? fieldsOf(list.element as z.ZodType, item) : [];
}

/** Fields of one link by its kind; none for a kind that the language does not have. */
export function fieldsOfLink(link: Plain | undefined): readonly Field[] {
  const kind = isObject(link) ? link.kind : undefined;
  const schema = linkKinds.find((option) => option.shape.kind.value === kind);
  return schema ? fieldsOf(schema, link).filter((field) => field.name !== 'kind') : [];
}

/** Numbers with a length or an angle in their name are dimensions of metal, but for these. */
const notMetal = /(^|\.)(saw|trueFor|lockJump)\.|Sd(Mm|Deg)$/;
const dimensionNames = ['reach', 'backlash'];

/** Whether a number is measured on the metal: not a spread, not what is engraved, not a leg's own. */
export const isDimension = (field: Field): boolean =>
  (field.form.form === 'number' || field.form.form === 'legNumber') &&
  !notMetal.test(field.name) &&
  (/(Mm|Deg)(\.|$)/.test(field.name) || dimensionNames.includes(field.name));
