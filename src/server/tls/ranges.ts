import { BlockList, isIP } from 'node:net';

/** Addresses of a network of one's own: RFC 1122, RFC 1918, RFC 6598, RFC 3927; RFC 4291 (::1, fe80), RFC 4193. */
export const OWN_RANGES = [
  '127.0.0.0/8',
  '10.0.0.0/8',
  '172.16.0.0/12',
  '192.168.0.0/16',
  '100.64.0.0/10',
  '169.254.0.0/16',
  '::1/128',
  'fe80::/10',
  'fc00::/7',
];

/** Whether an address is in one of these: addresses alone, or with the bits that count behind a slash. */
export function inRanges(list: readonly string[]): (address: string) => boolean {
  const block = new BlockList();
  for (const one of list) {
    const [address = '', bits] = one.split('/');
    if (bits === undefined) block.addAddress(address, family(address));
    else block.addSubnet(address, Number(bits), family(address));
  }
  return (address) => isIP(address) !== 0 && block.check(address, family(address));
}

export const isOfOwnNetwork = inRanges(OWN_RANGES);

function family(address: string): 'ipv4' | 'ipv6' {
  return isIP(address) === 6 ? 'ipv6' : 'ipv4';
}
