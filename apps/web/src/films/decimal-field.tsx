import { useState } from 'react';

/** A number written with a decimal point or comma; `undefined` for what is none. */
export function decimal(text: string): number | undefined {
  const match = /^\s*([+-]?\d+(?:[.,]\d+)?)\s*$/.exec(text);
  return match ? Number(match[1]!.replace(',', '.')) : undefined;
}

/** A field for a number; what is typed counts when the field is left or Enter is pressed. */
export function DecimalField({
  says,
  unit,
  value,
  digits = 1,
  set,
}: {
  readonly says: string;
  readonly unit: string;
  readonly value: number | undefined;
  readonly digits?: number;
  readonly set: (value: number) => void;
}) {
  const [text, setText] = useState<string>();
  const commit = (): void => {
    const number = text === undefined ? undefined : decimal(text);
    if (number !== undefined) set(number);
    if (number !== undefined || text?.trim() === '') setText(undefined);
  };
  const wrong = text !== undefined && text.trim() !== '' && decimal(text) === undefined;
  return (
    <label className="decimal">
      <span>{says}</span>
      <input
        inputMode="decimal"
        value={text ?? value?.toFixed(digits) ?? ''}
        aria-invalid={wrong}
        onChange={(e) => setText(e.target.value)}
        onBlur={commit}
        onKeyDown={(e) => {
          if (e.key !== 'Enter') return;
          e.preventDefault();
          commit();
        }}
      />
      <span className="note">{wrong ? 'a number is needed' : unit}</span>
    </label>
  );
}
