import type { Kept } from '../store/open.ts';
import type { Calls } from './calls.ts';
import type { FirstCode } from './first-code.ts';
import type { Hub } from './hub.ts';
import type { Limits } from './limits.ts';

export interface Names {
  includes(host: string): boolean;
}

/** What every route works with, all of it of one site. */
export interface Doors extends Kept {
  readonly hub: Hub;
  readonly calls: Calls;
  readonly first: FirstCode;
  readonly now: () => Date;
  /** Folder of the built page. */
  readonly page: string;
  /** Names that this server answers to, without port; a page elsewhere whose name was bent to this address is turned away. */
  readonly hosts: Names;
  /** What stands in front and ends TLS; what it says of where a call came from is believed. */
  readonly proxies?: (address: string) => boolean;
  readonly limits: Limits;
  /** Served over TLS: the cookie travels on nothing else. */
  readonly secure: boolean;
  /** A browser that was here once over TLS comes back over nothing else. */
  readonly onlySecure?: boolean;
  /** One line of the log. */
  readonly tell: (line: object) => void;
  /** So many events were just taken into the record. */
  readonly appended?: (events: number) => void;
}
