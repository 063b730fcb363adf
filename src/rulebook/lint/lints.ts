import { everTrue, notShadowed, oneLevel } from './conditions.ts';
import type { Lint } from './lint.ts';
import { knownPart, knownPosition, knownState, knownStep, plainIsPlain, sensibleDid } from './names.ts';
import { oneMeaning, wordsKnown } from './phrases.ts';
import { canAppear, positionsExist, wayForEveryCar } from './reach.ts';
import { noRing } from './rings.ts';
import { knownMaker, knownSetup, knownTool } from './shop.ts';
import { knownSources, listedSources, sourcedFigures, sourcedTriggers, statedBasis, usedSources } from './sources.ts';
import { leftBySomebody, needCanBeMet, needsOrUpsets, oneLeaver, preparationIsNeed, upsetsReachFar } from './states.ts';
import { cautionsOnSafety, examplesOfEach, skippedIsTold } from './telling.ts';
import { usedRows } from './unused.ts';

/** Every lint that needs no verdict; those that do stand in src/resolve/lint.ts. */
export const LINTS: readonly Lint[] = [
  knownPart,
  plainIsPlain,
  knownPosition,
  sensibleDid,
  knownState,
  knownStep,
  knownTool,
  knownSetup,
  knownMaker,
  sourcedTriggers,
  sourcedFigures,
  listedSources,
  knownSources,
  usedSources,
  statedBasis,
  examplesOfEach,
  cautionsOnSafety,
  skippedIsTold,
  everTrue,
  oneLevel,
  notShadowed,
  leftBySomebody,
  needCanBeMet,
  oneLeaver,
  needsOrUpsets,
  preparationIsNeed,
  upsetsReachFar,
  wayForEveryCar,
  positionsExist,
  canAppear,
  noRing,
  usedRows,
  wordsKnown,
  oneMeaning,
];
