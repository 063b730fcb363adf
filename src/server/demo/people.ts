import type { Role } from '../../job/people.ts';

/** Invented people of an invented shop; their PIN is shown at the door. */
export const DEMO_PIN = '2468';
export const DEMO_SHOP = 'Quillfeather Motors (invented)';

export const demoPeople: readonly { readonly name: string; readonly roles: readonly Role[] }[] = [
  { name: 'Rilla Quist', roles: ['technician'] },
  { name: 'Tam Orrin', roles: ['technician'] },
  { name: 'Ode Falkenby', roles: ['foreman'] },
  { name: 'Pim Sorrel', roles: ['desk'] },
  { name: 'Juno Wickes', roles: ['keeper'] },
];

export const DEMO_TECHNICIAN = 'Rilla Quist';
export const DEMO_TECHNICIAN_2 = 'Tam Orrin';
export const DEMO_FOREMAN = 'Ode Falkenby';
export const DEMO_DESK = 'Pim Sorrel';
