// A MIDI keyboard: each key that goes down is told on. What letter it types, the program decides.

import { words } from "./words";

const NOTE_ON = 0x90;

export class Midi {
  private access: MIDIAccess | null = null;
  heard = "";

  constructor(private readonly struck: (key: number) => void) {}

  async listen(): Promise<void> {
    if (!("requestMIDIAccess" in navigator)) {
      this.heard = words.midi_none;
      return;
    }
    try {
      this.access = await navigator.requestMIDIAccess();
    } catch {
      this.heard = words.midi_none;
      return;
    }
    const attach = () => {
      const inputs = [...this.access!.inputs.values()];
      for (const input of inputs) input.onmidimessage = (message) => this.message(message.data);
      this.heard = words.midi_heard(inputs.map(({ name }) => name ?? "").filter(Boolean).join(", "));
    };
    this.access.onstatechange = attach;
    attach();
  }

  /// A message as MIDI 1.0 has it: status, key, velocity; velocity 0 lets the key go.
  message(data: Uint8Array | null): void {
    if (data && data.length >= 3 && (data[0]! & 0xf0) === NOTE_ON && data[2]! > 0) this.struck(data[1]!);
  }
}
