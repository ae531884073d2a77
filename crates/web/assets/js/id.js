// Names of entries: UUIDs of version 7 (RFC 9562, section 5.7), made on the tablet, so that an entry sent twice
// counts once. The counter keeps those of one millisecond in the order in which they were made.

let last = 0;
let counter = 0;

export function newId(now = Date.now()) {
  const random = crypto.getRandomValues(new Uint8Array(10));
  if (now > last) {
    last = now;
    // Starts low, so that it has room to rise.
    counter = ((random[0] << 8) | random[1]) & 0x7ff;
  } else if (++counter > 0xfff) {
    last += 1;
    counter = 0;
  }
  const time = last.toString(16).padStart(12, "0");
  const rand = [...random.slice(2)];
  rand[0] = (rand[0] & 0x3f) | 0x80;
  const tail = rand.map((byte) => byte.toString(16).padStart(2, "0")).join("");
  const middle = (0x7000 | counter).toString(16);
  return `${time.slice(0, 8)}-${time.slice(8)}-${middle}-${tail.slice(0, 4)}-${tail.slice(4)}`;
}
