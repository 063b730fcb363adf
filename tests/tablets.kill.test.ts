import { expect, test } from 'vitest';
import { killRounds } from './tablets.kill.ts';

test('a server killed while tablets send loses nothing, doubles nothing and turns nothing round', async () => {
  const { said, unanswered, ...found } = await killRounds(10);
  console.log(`10 kills: ${said} words said, ${unanswered} calls died with the server`);
  expect(found).toEqual({ rounds: 10, lost: [], twice: [], disordered: [] });
  expect(said).toBeGreaterThan(100);
  // Else nobody was in the middle of anything.
  expect(unanswered).toBeGreaterThan(0);
}, 240_000);
