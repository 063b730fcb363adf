import { dirname } from 'node:path';

/** What a unit is filled in with; paths are absolute. */
export interface Place {
  readonly node: string;
  /** The built command line. */
  readonly main: string;
  /** File of settings; none: what is usual, and variables. */
  readonly config?: string;
  /** File that holds the address of the database, password and all. */
  readonly database?: string;
  /** File that holds the token of the figures. */
  readonly token?: string;
  /** An account of its own that is there already; left out, systemd makes one while it runs. */
  readonly user?: string;
  readonly port?: number;
  /** Where the settings say; left out, below the state folder. */
  readonly data?: string;
  readonly backups?: string;
  /** Where there are several. */
  readonly sites?: readonly string[];
  /** Folders outside of the state folder that are written to. */
  readonly writes?: readonly string[];
}

/** Name of the service and of its folder below /var/lib. */
export const SERVICE = 'lastbolt';
/** What `StateDirectory` comes to, for units of the system (systemd.exec(5)). */
export const STATE = `/var/lib/${SERVICE}`;
export const BACKUPS = `${STATE}/backups`;

/** The unit of the server: it is restarted when it dies, reads its secrets as credentials, and sees of the machine only what it needs. */
export function serverUnit(place: Place): string {
  return written({
    Unit: [
      'Description=Last Bolt: what a car still needs after the repair',
      'After=network-online.target postgresql.service',
      'Wants=network-online.target',
      // A server that can not be started says why and is left; one that dies again and again is tried for five minutes.
      'StartLimitIntervalSec=300',
      'StartLimitBurst=10',
    ],
    Service: [
      'Type=exec',
      `ExecStart=${command(place, 'serve')}`,
      // The log goes into a new file of its name.
      'ExecReload=/bin/kill -HUP $MAINPID',
      'Restart=on-failure',
      'RestartSec=5',
      // 2: it can not start, and says why; again would be no better.
      'RestartPreventExitStatus=2',
      // Calls that have begun are finished, and what was told is kept.
      'TimeoutStopSec=30',
      ...common(place),
      ...(place.port !== undefined && place.port < 1024
        ? ['AmbientCapabilities=CAP_NET_BIND_SERVICE', 'CapabilityBoundingSet=CAP_NET_BIND_SERVICE']
        : ['CapabilityBoundingSet=']),
    ],
    Install: ['WantedBy=multi-user.target'],
  });
}

/** Copies the record once a day, under another name each time. */
export function backupUnit(place: Place): string {
  return written({
    Unit: ['Description=Last Bolt: a copy of the record'],
    Service: [
      'Type=oneshot',
      // One after the other.
      ...(place.sites ?? [undefined]).map((site) => `ExecStart=${command(place, ...backupOf(place, site))}`),
      ...common(place),
      'CapabilityBoundingSet=',
    ],
  });
}

/** A month of copies, a day each: common practice, no source. */
function backupOf({ backups = BACKUPS }: Place, site: string | undefined): string[] {
  return ['backup', '--into', backups, '--keep', '30', ...(site === undefined ? [] : ['--site', site])];
}

export function backupTimer(): string {
  return written({
    Unit: ['Description=Last Bolt: a copy of the record, once a day'],
    Timer: ['OnCalendar=*-*-* 21:30', 'RandomizedDelaySec=15min', 'Persistent=true'],
    Install: ['WantedBy=timers.target'],
  });
}

function common(place: Place): string[] {
  const { config, database, token, user, writes = [] } = place;
  return [
    ...(user === undefined ? ['DynamicUser=yes', `User=${SERVICE}`] : [`User=${user}`]),
    `StateDirectory=${SERVICE} ${SERVICE}/backups`,
    'StateDirectoryMode=0700',
    'UMask=0077',
    'Environment=NODE_ENV=production',
    ...(place.data === undefined ? [`Environment=LASTBOLT_DATA=${STATE}`] : []),
    ...(place.backups === undefined ? [`Environment=LASTBOLT_BACKUPS=${BACKUPS}`] : []),
    ...(config === undefined ? [] : [`Environment=${quoted(`LASTBOLT_CONFIG=${escaped(config)}`)}`]),
    ...credential('database', database, 'LASTBOLT_DATABASE_FILE'),
    ...credential('figures', token, 'LASTBOLT_METRICS_TOKEN_FILE'),
    ...writes.map((folder) => `ReadWritePaths=${quoted(escaped(folder))}`),
    ...WALLS,
    ...home(place),
  ];
}

/** Handed over in a file that only this service can read; it stands neither in the unit nor in its environment. */
function credential(name: string, file: string | undefined, variable: string): string[] {
  return file === undefined ? [] : [`LoadCredential=${name}:${escaped(file)}`, `Environment=${variable}=%d/${name}`];
}

/** systemd.exec(5). Not there: MemoryDenyWriteExecute, for Node writes the machine code that it runs; ProcSubset, for it reads /proc. */
const WALLS = [
  'NoNewPrivileges=yes',
  'ProtectSystem=strict',
  'PrivateTmp=yes',
  'PrivateDevices=yes',
  'DevicePolicy=closed',
  'ProtectProc=invisible',
  'ProtectClock=yes',
  'ProtectControlGroups=yes',
  'ProtectHostname=yes',
  'ProtectKernelLogs=yes',
  'ProtectKernelModules=yes',
  'ProtectKernelTunables=yes',
  'RemoveIPC=yes',
  // Netlink: names of the machine's own addresses stand on its certificate.
  'RestrictAddressFamilies=AF_INET AF_INET6 AF_UNIX AF_NETLINK',
  'RestrictNamespaces=yes',
  'RestrictRealtime=yes',
  'RestrictSUIDSGID=yes',
  'LockPersonality=yes',
  'SystemCallArchitectures=native',
  'SystemCallFilter=@system-service',
  'SystemCallFilter=~@privileged @resources',
  'SystemCallErrorNumber=EPERM',
];

/** A program below a home folder would not be seen by its own service. */
function home({ main, node }: Place): string[] {
  const inHome = [main, node].some((path) => /^\/(?:home|root|run\/user)\//.test(path));
  return [`ProtectHome=${inHome ? 'read-only' : 'yes'}`, ...(inHome ? [] : [`WorkingDirectory=${dirname(main)}`])];
}

function command({ node, main }: Place, ...args: string[]): string {
  // Of all lines only those of commands know variables.
  return [node, main, ...args].map((word) => quoted(escaped(word).replaceAll('$', '$$$$'))).join(' ');
}

/** A per cent sign begins a specifier (systemd.unit(5)). */
function escaped(text: string): string {
  return text.replaceAll('%', '%%');
}

/** As systemd.syntax(7) wants a word with blanks or quotes in it. */
function quoted(word: string): string {
  return /^[\w@:./=%$+,-]+$/.test(word) ? word : `"${word.replaceAll(/["\\]/g, '\\$&')}"`;
}

function written(sections: Readonly<Record<string, readonly string[]>>): string {
  return Object.entries(sections)
    .map(([name, lines]) => `[${name}]\n${lines.join('\n')}\n`)
    .join('\n');
}
