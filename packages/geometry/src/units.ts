declare const unit: unique symbol;
type Quantity<U extends string> = number & { readonly [unit]: U };

export type Millimetres = Quantity<'mm'>;
export type Radians = Quantity<'rad'>;
export type Degrees = Quantity<'deg'>;

// The only casts to a branded number live in this file.
export const mm = (value: number): Millimetres => value as Millimetres;
export const rad = (value: number): Radians => value as Radians;
export const deg = (value: number): Degrees => value as Degrees;

export const toRadians = (angle: Degrees): Radians => rad((angle * Math.PI) / 180);
export const toDegrees = (angle: Radians): Degrees => deg((angle * 180) / Math.PI);
