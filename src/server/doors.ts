import type { Kept } from '../store/open.ts';
import type { Calls } from './calls.ts';
import type { FirstCode } from './first-code.ts';
import type { Hub } from './hub.ts';
import type { Limits } from './limits.ts';

/** What every route works with. */
export interface Doors extends Kept {
  readonly hub: Hub;
  readonly calls: Calls;
  readonly first: FirstCode;
  readonly now: () => Date;
  /** Folder of the built page. */
  readonly page: string;
  /** Names that this server answers to, without port; a page elsewhere whose name was bent to this address is turned away. */
  readonly hosts: readonly string[];
  readonly limits: Limits;
  /** Served over TLS: the cookie travels on nothing else. */
  readonly secure: boolean;
  /** One line of the log. */
  readonly tell: (line: object) => void;
  /** So many events were just taken into the record. */
  readonly appended?: (events: number) => void;
}
