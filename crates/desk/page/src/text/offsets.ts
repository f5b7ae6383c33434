// The program counts bytes of UTF-8, the editor counts UTF-16 units. This is the one place that converts.

export class Offsets {
  /// Bytes before each unit; null where the text is ASCII, and both counts are one.
  private readonly bytes: Uint32Array | null;

  constructor(private readonly text: string) {
    this.bytes = /[^\x00-\x7f]/.test(text) ? counted(text) : null;
  }

  /// The byte at which the unit `unit` begins.
  byte(unit: number): number {
    const at = clamp(unit, this.text.length);
    return this.bytes ? this.bytes[at]! : at;
  }

  /// The unit that begins at `byte`; a byte inside a character gives that character.
  unit(byte: number): number {
    const bytes = this.bytes;
    if (!bytes) return clamp(byte, this.text.length);
    let low = 0;
    let high = this.text.length;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (bytes[middle]! <= byte) low = middle;
      else high = middle - 1;
    }
    return low;
  }
}

function clamp(value: number, most: number): number {
  return Math.min(Math.max(value, 0), most);
}

function counted(text: string): Uint32Array {
  const bytes = new Uint32Array(text.length + 1);
  let sum = 0;
  for (let unit = 0; unit < text.length; unit++) {
    bytes[unit] = sum;
    const code = text.charCodeAt(unit);
    const pair = code >= 0xd800 && code < 0xdc00 && (text.charCodeAt(unit + 1) & 0xfc00) === 0xdc00;
    if (pair) {
      sum += 4;
      unit += 1;
      bytes[unit] = sum;
    } else sum += code < 0x80 ? 1 : code < 0x800 ? 2 : 3;
  }
  bytes[text.length] = sum;
  return bytes;
}
