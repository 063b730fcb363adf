import { createHash, X509Certificate } from 'node:crypto';
import { type Context, Hono } from 'hono';
import { html, raw } from 'hono/html';
import { secureHeaders } from 'hono/secure-headers';
import { toString as qrOf } from 'qrcode';

/** What there is to be trusted, and where the server is opened. */
export interface Trusted {
  /** The authority as PEM, and SHA-256 of it; undefined where none was made. */
  readonly made: { readonly authority: string; readonly fingerprint: string } | undefined;
  readonly secure: boolean;
  /** Port of the server itself. */
  readonly port: () => number;
}

export const TRUST = '/trust';

/** A page that tells how a tablet comes to trust the shop's own authority, and gives it that. No script, no session. */
export function trustPages({ made, secure, port }: Trusted): Hono {
  const app = new Hono();
  app.use(headers);
  app.get(TRUST, async (c) => {
    c.header('cache-control', 'no-store');
    const address = `${secure ? 'https' : 'http'}://${hostOf(c)}${portIn(port(), secure)}/`;
    return c.html(page(made ? await steps(made.fingerprint, address) : nothing(secure), made !== undefined));
  });
  if (made) {
    const { raw: der } = new X509Certificate(made.authority);
    // The type by which phones and tablets know a certificate; both forms are taken by all that were looked at.
    const give = (c: Context, body: string | Buffer, name: string) =>
      c.body(typeof body === 'string' ? body : new Uint8Array(body), 200, {
        'content-type': 'application/x-x509-ca-cert',
        'content-disposition': `attachment; filename="${name}"`,
        'cache-control': 'no-store',
      });
    app.get(`${TRUST}/last-bolt.crt`, (c) => give(c, der, 'last-bolt.crt'));
    app.get(`${TRUST}/last-bolt.pem`, (c) => give(c, made.authority, 'last-bolt.pem'));
  }
  app.notFound((c) => c.json({ error: `there is no page ${c.req.path}` }, 404));
  return app;
}

/** On plain http beside a server with TLS: these pages, and for all else the way to that. */
export function trustPort(trusted: Trusted, hosts: { includes(host: string): boolean }): Hono {
  const app = new Hono();
  app.use(headers);
  app.use(async (c, next) => {
    if (!hosts.includes(hostOf(c))) return c.json({ error: `this server does not go by the name ${hostOf(c)}` }, 403);
    if (c.req.path.startsWith(TRUST)) return next();
    if (c.req.method !== 'GET' && c.req.method !== 'HEAD')
      return c.json({ error: 'nothing is taken here: this is not the server itself' }, 403);
    const { pathname, search } = new URL(c.req.url);
    return c.redirect(`https://${hostOf(c)}${portIn(trusted.port(), true)}${pathname}${search}`, 302);
  });
  app.route('/', trustPages(trusted));
  return app;
}

/** Without port, in small letters. */
function hostOf(c: Context): string {
  return (c.req.header('host') ?? '').toLowerCase().replace(/:\d+$/, '');
}

function portIn(port: number, secure: boolean): string {
  return port === (secure ? 443 : 80) ? '' : `:${port}`;
}

async function steps(fingerprint: string, address: string): Promise<ReturnType<typeof html>> {
  const code = await qrOf(address, { type: 'svg', margin: 2, color: { dark: '#000', light: '#fff' } });
  return html`<p>This server has a certificate of the shop’s own. A tablet opens it without a warning, uses its camera and works without a signal once it trusts the authority that signed it. Once on each tablet:</p>
    <ol>
      <li>
        <p><a class="key" href="${TRUST}/last-bolt.crt" download>Fetch the certificate</a></p>
        <p>or <a href="${TRUST}/last-bolt.pem" download>as text (PEM)</a>, for a browser or a machine that asks for that.</p>
      </li>
      <li>
        <p><b>Compare before you trust.</b> Whoever started the server has this SHA-256 fingerprint on the screen there (or from <code>lastbolt cert</code>). Where the tablet shows another, stop.</p>
        <p class="print">${fingerprint.split(':').map((pair, i) => html`<span>${pair}${i < 31 ? ':' : ''}</span>`)}</p>
      </li>
      <li>
        <p>Have the tablet trust it. What it says varies with its maker and its version:</p>
        <dl>
          <dt>Android</dt>
          <dd>Settings, Security, Install a certificate, CA certificate; then pick the file. It asks for the screen lock.</dd>
          <dt>iPad, iPhone</dt>
          <dd>Fetch it with Safari and allow the profile. Settings, General, VPN &amp; Device Management: install it. Then Settings, General, About, Certificate Trust Settings: switch it on. Both are needed.</dd>
          <dt>Windows</dt>
          <dd>Open the file, Install Certificate, Local Machine, and put it into Trusted Root Certification Authorities. Firefox keeps a list of its own: Settings, Certificates, Authorities, Import.</dd>
        </dl>
      </li>
      <li>
        <p>Open <a href="${address}">${address}</a></p>
        <div class="code">${raw(code)}</div>
      </li>
    </ol>
    <p>The authority can sign for names and addresses of a shop’s own network and for nothing else. Its key never leaves the server’s data folder: guard that, and take the authority off a tablet that leaves the shop.</p>`;
}

function nothing(secure: boolean): ReturnType<typeof html> {
  return secure
    ? html`<p>There is nothing to fetch here: this server shows a certificate that the shop got elsewhere. If a tablet warns of it, tell whoever looks after the server.</p>`
    : html`<p>There is nothing to fetch here: this server has no certificate. On the machine itself none is needed. Over the network a browser on plain http opens no camera, keeps no page for when the signal is gone and installs nothing: whoever looks after the server starts it with <code>--network</code> and without <code>--plain</code>.</p>`;
}

const STYLE = `
body { max-width: 44rem; margin: 0 auto; padding: 24px 16px 64px; color: #111; background: #fff; font: 18px/1.5 system-ui, sans-serif; }
h1 { font-size: 1.6rem; line-height: 1.2; border-bottom: 3px solid #111; padding-bottom: 8px; }
li { margin: 20px 0; padding-left: 6px; }
li::marker { font-weight: 700; }
dt { font-weight: 700; margin-top: 8px; }
dd { margin: 0; }
a { color: #003a70; }
.key { display: inline-flex; align-items: center; min-height: 52px; padding: 0 18px; border: 3px solid #111; color: #111; font-weight: 700; text-decoration: none; }
.print { font: 700 1.1rem/1.7 ui-monospace, monospace; border: 2px solid #111; padding: 8px 12px; }
.print span { display: inline-block; }
.code { max-width: 220px; }
`;

function page(body: ReturnType<typeof html>, made: boolean): ReturnType<typeof html> {
  return html`<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>Last Bolt: trust this server</title>
<style>${raw(STYLE)}</style>
<main>
<h1>${made ? 'Have a tablet trust this server' : 'Trust'}</h1>
${body}
</main>
</html>`;
}

const headers = secureHeaders({
  contentSecurityPolicy: {
    defaultSrc: ["'none'"],
    // The one style sheet above, and no other.
    styleSrc: [`'sha256-${createHash('sha256').update(STYLE).digest('base64')}'`],
    baseUri: ["'none'"],
    formAction: ["'none'"],
    frameAncestors: ["'none'"],
  },
  strictTransportSecurity: false,
  crossOriginOpenerPolicy: false,
  originAgentCluster: false,
  referrerPolicy: 'no-referrer',
  xFrameOptions: 'DENY',
});
