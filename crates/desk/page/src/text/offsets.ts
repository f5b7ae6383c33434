// The program counts bytes of UTF-8, the editor counts UTF-16 units. This is the one place that converts.

// A line end of two bytes, as some systems write it, is one unit in the editor.

export class Offsets {
  /// Bytes before each unit; null where the text is ASCII with plain line ends, and both counts are one.
  private readonly bytes: Uint32Array | null;
  private readonly length: number;

  constructor(text: string) {
    this.bytes = /[^\x00-\x7f]|\r/.test(text) ? counted(text) : null;
    this.length = this.bytes ? this.bytes.length - 1 : text.length;
  }

  /// The byte at which the unit `unit` begins.
  byte(unit: number): number {
    const at = clamp(unit, this.length);
    return this.bytes ? this.bytes[at]! : at;
  }

  /// The unit that begins at `byte`; a byte inside a character gives that character.
  unit(byte: number): number {
    const bytes = this.bytes;
    if (!bytes) return clamp(byte, this.length);
    let low = 0;
    let high = this.length;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (bytes[middle]! <= byte) low = middle;
      else high = middle - 1;
    }
    return low;
  }
}

const [CR, LF] = [13, 10];

function clamp(value: number, most: number): number {
  return Math.min(Math.max(value, 0), most);
}

function counted(text: string): Uint32Array {
  const bytes = new Uint32Array(text.length + 1);
  let [sum, unit] = [0, 0];
  for (let at = 0; at < text.length; at++) {
    bytes[unit++] = sum;
    const code = text.charCodeAt(at);
    const next = text.charCodeAt(at + 1);
    if (code >= 0xd800 && code < 0xdc00 && (next & 0xfc00) === 0xdc00) {
      sum += 4;
      at += 1;
      bytes[unit++] = sum;
    } else if (code === CR && next === LF) {
      sum += 2;
      at += 1;
    } else sum += code < 0x80 ? 1 : code < 0x800 ? 2 : 3;
  }
  bytes[unit] = sum;
  return bytes.subarray(0, unit + 1);
}
