import type { Doors } from './doors.ts';
import type { Guard } from './guard.ts';
import type { Route } from './route.ts';
import { aboutRoutes } from './routes/about.ts';
import { doorRoutes } from './routes/door.ts';
import { draftRoutes } from './routes/drafts.ts';
import { learningRoutes } from './routes/learning.ts';
import { liveRoutes } from './routes/live.ts';
import { peopleRoutes } from './routes/people.ts';
import { photoRoutes } from './routes/photos.ts';
import { recordRoutes } from './routes/records.ts';
import { ruleRoutes } from './routes/rules.ts';

/** Every call there is. */
export function routesOf(doors: Doors, guard: Guard): Route[] {
  const all: Route[] = [
    ...aboutRoutes(doors, () => all),
    ...ruleRoutes(doors),
    ...doorRoutes(doors, guard),
    ...peopleRoutes(doors),
    ...draftRoutes(doors),
    ...recordRoutes(doors),
    ...photoRoutes(doors),
    ...learningRoutes(doors),
    ...liveRoutes(doors),
  ];
  return all;
}
