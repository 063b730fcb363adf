import { describeTables } from '../tables.ts';

describeTables(new URL('./', import.meta.url));
