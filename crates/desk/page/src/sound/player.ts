// Plays a WAV stream while it comes, softly at first, once or again and again.

import { WaveReader } from "./wave";

/// Seconds of silence before the first sample, so that the first block is there in time.
const LEAD = 0.12;
/// The first time on a page it rises over so many seconds.
const RISE = 1.5;
/// Samples are handed on in blocks of so many seconds.
const BLOCK = 0.25;

export class Player {
  private context: AudioContext | null = null;
  private gain: GainNode | null = null;
  private sources: AudioBufferSourceNode[] = [];
  private stopping: AbortController | null = null;
  private start = 0;
  private length = 0;
  private heard = false;
  loop = false;
  volume = 0.5;

  get playing(): boolean {
    return this.stopping !== null;
  }

  /// Seconds since the beginning of what is heard; null in silence.
  get now(): number | null {
    if (!this.context || !this.playing || this.start === 0) return null;
    const seconds = this.context.currentTime - this.start;
    return this.length > 0 && this.loop ? seconds % this.length : seconds;
  }

  loudness(volume: number): void {
    this.volume = volume;
    if (this.context && this.gain) this.gain.gain.setTargetAtTime(volume, this.context.currentTime, 0.05);
  }

  /// Fetches and plays; resolves when it has been heard, or was stopped.
  async play(fetch_it: (signal: AbortSignal) => Promise<Response>): Promise<void> {
    this.stop();
    const stopping = new AbortController();
    this.stopping = stopping;
    this.start = 0;
    this.length = 0;
    const context = (this.context ??= new AudioContext());
    await context.resume();
    this.gain ??= connected(context);
    try {
      const answer = await fetch_it(stopping.signal);
      this.rise(context, this.gain);
      const blocks = await this.stream(answer, context, this.gain, stopping.signal);
      await this.end(context, this.gain, blocks, stopping.signal);
    } catch (error) {
      if (!stopping.signal.aborted) throw error;
    } finally {
      if (this.stopping === stopping) this.stop();
    }
  }

  stop(): void {
    this.stopping?.abort();
    this.stopping = null;
    for (const source of this.sources.splice(0)) {
      source.onended = null;
      source.stop();
      source.disconnect();
    }
  }

  private rise(context: AudioContext, gain: GainNode): void {
    gain.gain.cancelScheduledValues(context.currentTime);
    if (this.heard) gain.gain.setValueAtTime(this.volume, context.currentTime);
    else {
      gain.gain.setValueAtTime(this.volume * 0.05, context.currentTime);
      gain.gain.linearRampToValueAtTime(this.volume, context.currentTime + RISE);
    }
    this.heard = true;
  }

  private async stream(answer: Response, context: AudioContext, gain: GainNode, signal: AbortSignal): Promise<AudioBuffer[]> {
    const reader = new WaveReader();
    const bytes = answer.body!.getReader();
    const blocks: AudioBuffer[] = [];
    let gathered: Float32Array<ArrayBuffer>[][] = [];
    let count = 0;
    const flush = () => {
      if (count === 0 || !reader.format || signal.aborted) return;
      const buffer = context.createBuffer(reader.format.channels, count, reader.format.rate);
      let at = 0;
      for (const piece of gathered) {
        piece.forEach((channel, index) => buffer.copyToChannel(channel, index, at));
        at += piece[0]!.length;
      }
      gathered = [];
      count = 0;
      if (this.start === 0) this.start = context.currentTime + LEAD;
      // If the stream has not kept up, there is a pause, and nothing is left out.
      const late = context.currentTime - (this.start + this.length);
      if (late > 0) this.start += late + LEAD;
      this.at(context, gain, buffer, this.start + this.length);
      this.length += buffer.duration;
      blocks.push(buffer);
    };
    for (;;) {
      const { done, value } = await bytes.read();
      if (done || signal.aborted) break;
      const taken = reader.take(value);
      if (taken.length === 0) continue;
      gathered.push(taken);
      count += taken[0]!.length;
      if (count >= BLOCK * reader.format!.rate) flush();
    }
    flush();
    return blocks;
  }

  /// Waits for the end; or begins again just then, for as long as it is wished.
  private async end(context: AudioContext, gain: GainNode, blocks: AudioBuffer[], signal: AbortSignal): Promise<void> {
    let end = this.start + this.length;
    while (!signal.aborted) {
      if (context.currentTime > end) {
        if (!this.loop) return;
        end = context.currentTime;
      }
      if (this.loop && end - context.currentTime < 1) {
        if (blocks.length === 0) return;
        for (const block of blocks) {
          this.at(context, gain, block, end);
          end += block.duration;
        }
      }
      await new Promise((done) => window.setTimeout(done, 100));
    }
  }

  private at(context: AudioContext, gain: GainNode, buffer: AudioBuffer, when: number): void {
    const source = context.createBufferSource();
    source.buffer = buffer;
    source.connect(gain);
    source.onended = () => {
      source.disconnect();
      this.sources.splice(this.sources.indexOf(source), 1);
    };
    source.start(when);
    this.sources.push(source);
  }
}

function connected(context: AudioContext): GainNode {
  const gain = context.createGain();
  gain.connect(context.destination);
  return gain;
}
