export * from './leg/bone-frame.ts';
export * from './leg/bones/bone-surface.ts';
export * from './leg/leg-from-bones.ts';
export * from './leg/quantities.ts';
export * from './leg/stated.ts';
export * from './leg/stated-leg.ts';
export * from './leg/stated-value.ts';
