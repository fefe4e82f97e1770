/** What is said once, plainly, on the first screen and on every sheet. */
export const caution =
  'Worked figures for a qualified surgical team. They decide; this computes. Not a cleared medical device: for teaching, ' +
  'rehearsal and record unless your institution has approved clinical use. Local rules and licensed judgement come first.';
