// The way to the program: the token, requests, and the socket, which comes back by itself.

import type { Asked, Told } from "./protocol";
import { words } from "./words";

const TOKEN = "desk.token";
const channel = new BroadcastChannel("cartella-desk");

let token = sessionStorage.getItem(TOKEN);
const waiting: (() => void)[] = [];

/// Another window of a program that was started anew shares its token with the older ones.
channel.onmessage = (message: MessageEvent<{ token?: string; wanted?: boolean }>) => {
  if (message.data.token && message.data.token !== token) adopt(message.data.token);
  else if (message.data.wanted && token) channel.postMessage({ token });
};

function adopt(fresh: string): void {
  token = fresh;
  sessionStorage.setItem(TOKEN, fresh);
  waiting.splice(0).forEach((go) => go());
}

/// Exchanges the code of the address for a token. True if there is a token afterwards.
export async function enter(code: string | null): Promise<boolean> {
  if (code) {
    const answer = await fetch("/api/token", {
      method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify({ code }),
    }).catch(() => null);
    if (answer?.ok) {
      adopt(((await answer.json()) as { token: string }).token);
      channel.postMessage({ token });
    }
  }
  return token !== null;
}

export class Refusal extends Error {
  constructor(readonly status: number, message: string, readonly body: unknown) {
    super(message);
  }
}

async function send(method: string, path: string, body?: unknown, signal?: AbortSignal): Promise<Response> {
  const headers: Record<string, string> = { authorization: `Bearer ${token}` };
  if (body !== undefined) headers["content-type"] = "application/json";
  const answer = await fetch(path, { method, headers, body: body === undefined ? null : JSON.stringify(body), signal: signal ?? null });
  if (answer.ok) return answer;
  const text = await answer.text();
  let said: unknown = null;
  try {
    said = JSON.parse(text);
  } catch {
    // Plain text, then.
  }
  const message = (said as { message?: string } | null)?.message ?? (text.length < 300 ? text : "") ?? "";
  throw new Refusal(answer.status, message || `${answer.status}`, said);
}

export const get = async <T>(path: string, asked: Record<string, string | number> = {}): Promise<T> =>
  (await send("GET", address(path, asked))).json() as Promise<T>;
/// A page of a picture; how many pages its file has, and how many units of a box a pixel is.
export async function picture(asked: { path: string; page: number }): Promise<{ picture: Blob; pages: number; unit: number }> {
  const answer = await send("GET", address("/api/picture", asked));
  const number = (name: string) => Number(answer.headers.get(name)) || 1;
  return { picture: await answer.blob(), pages: number("cartella-pages"), unit: number("cartella-unit") };
}
export const post = async <T>(path: string, body: unknown): Promise<T> =>
  (await send("POST", path, body)).json() as Promise<T>;
export const post_for = (path: string, body: unknown, signal?: AbortSignal): Promise<Response> => send("POST", path, body, signal);

function address(path: string, asked: Record<string, string | number>): string {
  const query = new URLSearchParams(Object.entries(asked).map(([key, value]) => [key, String(value)]));
  return query.size ? `${path}?${query}` : path;
}

/// What the socket tells those who use it.
export interface Listening {
  told(told: Told): void;
  there(): void;
  /// Why it is gone: the program does not answer, or does not know the token.
  gone(why: string): void;
}

/// A socket that comes back by itself, soon at first, then every three seconds.
export class Socket {
  private socket: WebSocket | null = null;
  private wait = 250;
  private timer: number | undefined;
  private closed = false;

  constructor(private readonly listening: Listening) {
    this.open();
    window.addEventListener("online", this.hurry);
  }

  get ready(): boolean {
    return this.socket?.readyState === WebSocket.OPEN;
  }

  send(asked: Asked): boolean {
    if (!this.ready) return false;
    this.socket!.send(JSON.stringify(asked));
    return true;
  }

  close(): void {
    this.closed = true;
    window.clearTimeout(this.timer);
    window.removeEventListener("online", this.hurry);
    this.socket?.close();
  }

  private readonly hurry = () => {
    if (this.socket || this.closed) return;
    window.clearTimeout(this.timer);
    this.open();
  };

  private open(): void {
    const socket = new WebSocket(`${location.origin.replace(/^http/, "ws")}/socket`, ["cartella", `token.${token}`]);
    this.socket = socket;
    socket.onopen = () => {
      this.wait = 250;
      this.listening.there();
    };
    socket.onmessage = (message: MessageEvent<string>) => this.listening.told(JSON.parse(message.data) as Told);
    socket.onclose = () => {
      this.socket = null;
      if (!this.closed) void this.again();
    };
  }

  private async again(): Promise<void> {
    const known = await fetch("/api/words", { headers: { authorization: `Bearer ${token}` } }).then((answer) => answer.status, () => 0);
    if (this.closed) return;
    const refused = known === 401 || known === 403;
    this.listening.gone(refused ? words.server_new : words.server_gone);
    if (refused) {
      waiting.push(this.hurry);
      channel.postMessage({ wanted: true });
    }
    this.timer = window.setTimeout(this.hurry, this.wait);
    this.wait = Math.min(this.wait * 2, 3000);
  }
}
