export { base64Of, bytesOfBase64 } from './base64.ts';
export { type BoneFile, type BoneFiles, type BoneRole, readBoneFiles } from './bone-files.ts';
export { canonicalJson, type Json } from './canonical-json.ts';
export {
  type Blobs,
  blobsNamed,
  type CaseFile,
  type CaseFileFault,
  caseFileText,
  readCaseFile,
  tooLarge,
} from './case-file.ts';
export { caseKit, kitFromBytes } from './case-kit.ts';
export { type CaseLeg, caseLeg, filmLeg, legKey } from './case-leg.ts';
export type { CaseStore, StoreFault } from './case-store.ts';
export { type CaseFilm, type CaseMark, type CaseView, replay } from './case-view.ts';
export { checkStatement } from './check-statement.ts';
export {
  bodies,
  type Entry,
  type EntryFault,
  type EntryKind,
  entryHash,
  entryKinds,
  readEntry,
  readStatement,
  type Statement,
} from './entry.ts';
export { type FactsByBlob, type FilmFacts, factsOfFilms, filmFacts } from './film-facts.ts';
export { calibrated, filmFindings, filmReadings, filmScale } from './film-readings.ts';
export { appended, headOf, type Ledger, type LedgerFault, readLedger, type Stamp } from './ledger.ts';
export { type MarksFile, marksStatements, readMarksFile } from './marks-file.ts';
export { memoryStore } from './memory-store.ts';
export { sha256Of, sha256OfText } from './sha256.ts';
export { filmSalt, filmStatement, type TakenFilm, takenFilm } from './taken-film.ts';
export { caseWanted, settingsOf, type WorkedCase, workCase, workLeg } from './worked-case.ts';
