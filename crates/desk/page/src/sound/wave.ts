// Samples out of a WAV stream, as they come. 16-bit and 24-bit whole numbers and 32-bit floats are read.

export interface Format {
  channels: number;
  rate: number;
  bits: number;
  float: boolean;
}

export class WaveReader {
  format: Format | null = null;
  private rest = new Uint8Array(0);

  /// Takes some bytes, and gives the frames that are whole by now: one array a channel.
  take(bytes: Uint8Array): Float32Array<ArrayBuffer>[] {
    const all = new Uint8Array(this.rest.length + bytes.length);
    all.set(this.rest);
    all.set(bytes, this.rest.length);
    let from = 0;
    if (!this.format) {
      const head = header(all);
      if (!head) {
        this.rest = all;
        return [];
      }
      this.format = head.format;
      from = head.data;
    }
    const { channels, bits, float } = this.format;
    const size = (channels * bits) / 8;
    const count = Math.floor((all.length - from) / size);
    const view = new DataView(all.buffer, from, count * size);
    const taken = Array.from({ length: channels }, () => new Float32Array(count));
    for (let frame = 0; frame < count; frame++) {
      for (let channel = 0; channel < channels; channel++) {
        const at = frame * size + (channel * bits) / 8;
        taken[channel]![frame] = float ? view.getFloat32(at, true)
          : bits === 16 ? view.getInt16(at, true) / 0x8000
          : ((view.getUint16(at, true) | (view.getInt8(at + 2) << 16)) / 0x800000);
      }
    }
    this.rest = all.slice(from + count * size);
    return count ? taken : [];
  }
}

function header(bytes: Uint8Array): { format: Format; data: number } | null {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  let format: Format | null = null;
  for (let at = 12; at + 8 <= bytes.length;) {
    const name = String.fromCharCode(...bytes.subarray(at, at + 4));
    const size = view.getUint32(at + 4, true);
    if (name === "data" && format) return { format, data: at + 8 };
    if (name === "fmt " && at + 24 <= bytes.length) {
      const code = view.getUint16(at + 8, true);
      const extended = code === 0xfffe && at + 34 <= bytes.length ? view.getUint16(at + 32, true) : code;
      format = { channels: view.getUint16(at + 10, true), rate: view.getUint32(at + 12, true), bits: view.getUint16(at + 22, true), float: extended === 3 };
    }
    at += 8 + size + (size % 2);
  }
  return null;
}
