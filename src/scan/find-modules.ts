/** Modules as reports name them: abbreviations and plain words of the trade. From memory; makers differ. */
const MODULES: readonly (readonly [id: string, title: string, words: string])[] = [
  ['transmission', 'transmission', 'TCM|TCU|EGS|transmission(?: control)?(?: module| unit)?|gearbox'],
  ['engine', 'engine', 'ECM|PCM|DME|DDE|engine (?:control|management|electronics|module)|powertrain control'],
  ['steering-angle', 'steering angle sensor', 'SASM?|SAS module|steering angle(?: sensor)?(?: module)?'],
  ['steering', 'power steering', 'EPS|PSCM|EMPS|power steering|steering assist'],
  ['brakes', 'brakes and stability', 'ABS|EBCM|ESP|ESC|VSC|VDC|DSC|skid control|brake control|stability control'],
  [
    'restraint',
    'airbags',
    'SRS|ORC|SDM|RCM|OCM|airbags?|air bags?|restraints?(?: control)?|occupant (?:sensor|classification)',
  ],
  [
    'camera',
    'forward camera',
    'IPMA|FCM|(?:forward|front|windscreen|windshield|lane) (?:sensing )?camera|image processing',
  ],
  ['front-radar', 'front radar', 'CCM|ACC|DRCM|front radar|adaptive cruise|cruise control module|distance sensor'],
  ['blind-spot', 'blind-spot radar', 'SODL|SODR|BSM|BSD|blind[- ]spot|side obstacle|rear corner radar'],
  ['surround', 'surround view', 'surround view|around view|360 camera|parking camera'],
  ['parking', 'parking sensors', 'PAM|PDC|parking (?:aid|assist|sensors?)'],
  ['parking-brake', 'parking brake', 'EPB|PBM|(?:electric )?parking brake'],
  ['tyres', 'tyre pressure', 'TPMS|TPM|RDC|(?:tyre|tire) pressure'],
  ['headlamp', 'headlamps', 'AFS|HCM|headlamps?|headlights?|headlamp (?:control|levelling)'],
  ['gateway', 'gateway', 'GWM|SGW|CGW|gateway'],
  ['body', 'body', 'BCM|GEM|SAM|body control|body module|central electronics'],
  ['cluster', 'instrument cluster', 'IPC|instrument (?:cluster|panel)|cluster'],
  ['climate', 'climate', 'HVAC|ATC|climate(?: control)?|air[- ]conditioning'],
  ['suspension', 'suspension', 'VDM|ride height|air suspension|suspension control|damper control'],
  ['driveline', 'all-wheel drive', 'TCCM|AWD|4WD|FDCM|RDCM|transfer case|limited[- ]slip|all[- ]wheel drive'],
  [
    'high-voltage',
    'high-voltage battery',
    'BECM|BMS|HPCM|hybrid (?:control|battery)|battery energy control|high[- ]voltage',
  ],
  ['motor', 'drive motor', 'MCU|SOBDM|inverter|motor control'],
  ['immobiliser', 'immobiliser', 'PATS|WCM|SKIM|immobili(?:s|z)er|key reader'],
  ['door', 'doors and roof', 'DDM|PDM|door module|sunroof|liftgate|tailgate'],
  ['infotainment', 'radio and display', 'APIM|ACM|head unit|infotainment|radio'],
];

export interface NamedModule {
  /** One of our ids; null where the report names a module that we have no word for. */
  readonly id: string | null;
  /** As the report has it. */
  readonly text: string;
}

// One pass over the text whatever the number of modules. Bounded by letters and digits on both sides, so that
// `ABS` is not seen in `absolute`; abbreviations in capitals only, so that `SAM` is no first name.
const BY_ID = new Map(MODULES.map(([id, title]) => [id, title]));
const WORDS = new RegExp(
  MODULES.map(
    ([id, , words]) => `(?<${id.replaceAll('-', '_')}>(?<![\\p{L}\\p{N}])(?:${anyCase(words)})(?![\\p{L}\\p{N}]))`,
  ).join('|'),
  'gu',
);
const LABELLED =
  /(?:^|[^\p{L}])(?:control unit|control module|module|system|ecu|address)[ \t]{0,3}[:=#][ \t]{0,3}([^\n\r|;,\t]{2,40})/giu;
const BUS_ADDRESS = /(?<![0-9A-Za-z])7E[89A-Fa-f](?![0-9A-Za-z])/g;

/** The first module that a stretch of text names, or null. A label (`Module: ...`) speaks before a word in passing. */
export function firstModule(text: string): NamedModule | null {
  const label = first(LABELLED, text)?.[1]?.trim();
  const inside = wordIn(label ?? text);
  if (inside) return inside;
  if (label) return { id: null, text: label };
  const address = first(BUS_ADDRESS, text)?.[0];
  return address ? { id: null, text: address.toUpperCase() } : null;
}

export function moduleTitle(module: NamedModule): string {
  return (module.id && BY_ID.get(module.id)) || module.text;
}

export const MODULE_IDS: readonly string[] = MODULES.map(([id]) => id);

function wordIn(text: string): NamedModule | null {
  const match = first(WORDS, text);
  if (!match) return null;
  const group = Object.entries(match.groups ?? {}).find(([, found]) => found !== undefined)?.[0];
  return { id: group?.replaceAll('_', '-') ?? null, text: match[0] };
}

function first(pattern: RegExp, text: string): RegExpExecArray | null {
  pattern.lastIndex = 0;
  return pattern.exec(text);
}

/** Small letters match either case; capitals, which are abbreviations, only themselves. */
function anyCase(words: string): string {
  return words.replace(/[a-z]/g, (letter) => `[${letter}${letter.toUpperCase()}]`);
}
