// What the page and the program say to each other. The Rust side of the same messages:
// crates/desk/src/message.rs (what a text shows) and crates/cli/src/desk/ (files, saving, sound).
// All names in JSON are snake_case. Places in a text are byte offsets in UTF-8, as everywhere in Rust;
// the page converts once, in text/offsets.ts.

// ---- HTTP. Every request: exact Host; Origin exact if sent (and required on anything but GET);
// all under /api need `Authorization: Bearer TOKEN`. Static: GET / (page, nonce), /desk.js, /desk.css, /font…
// POST /api/token  {code}                       -> {token}          (no token needed; the code is used up)
// POST /api/code   {}                           -> {code}           (for a second window)
// GET  /api/pieces                              -> {folder, pieces: Listed[]}
// GET  /api/piece?path=P                        -> {path, text, hash, refused: Refused[], pictures: string[]}
// PUT  /api/piece  {path, text, base}           -> 200 {hash} | 409 {text, hash} | 507 {message}
// POST /api/new    {path, voices, clefs?}       -> {path} | 409
// POST /api/bring  {files:[{name, base64}]}     -> {path} | 422 {message}      (MEI set, MusicXML)
//   with beside: P (a piece) the files are pictures of its source, and are laid beside it -> {pictures}
// GET  /api/picture?path=P&page=N               -> image/png or image/jpeg     (PDF pages drawn)
// GET  /api/staves?path=P&page=N                -> {width, height, pages, strips: {x,y,w,h,angle,empty}[]}  (pages: how many the file has)
// POST /api/sound  {text, example, from?, to?, only?: string[], without?: string[], tempo?, temperament?,
//                   pitch?, instrument?}        -> audio/wav, streamed
// POST /api/study  {text, example, width}       -> Studied
// POST /api/print  {text, example, what: "score"|"proof"|"study", paper} -> application/pdf
// POST /api/refuse {path, refused: Refused[]}   -> {}
// POST /api/times  as /api/sound               -> the JSON of `score --timing`: when every note is heard
// GET  /api/words                               -> Word[]  (the glossary, for completion)

export interface Listed { path: string; example: string | null; title: string | null; source: string | null;
  voices: number; errors: number; warnings: number }
export interface Word { word: string; kind: string; help: string }
export interface Refused { voice: string; event: number; printed: string; read: string }

// ---- The socket: GET /socket with subprotocols ["cartella", "token.TOKEN"].
// From the page:
export type Asked =
  | { kind: "open"; path: string; example: string | null; window: string }
  | { kind: "text"; path: string; revision: number; base: string; text: string; cursor: number; // base: hash the text grew from
      width: number; have: string[] }          // hashes of the systems the page holds already
  | { kind: "cursor"; path: string; cursor: number }
  | { kind: "mend"; path: string; revision: number }
  | { kind: "fix"; path: string; revision: number; suggestion: number; manner: "retyped" | "emended" }
  | { kind: "type_here"; path: string; window: string } // this window wants to type
  | { kind: "key"; path: string; revision: number; cursor: number; key: number } // a key of a MIDI keyboard, 60 is middle C
  | { kind: "why"; path: string; revision: number; voice: number; start: number }; // why a note lasts as long as it does
// From the program:
export type Told =
  | { kind: "opened"; path: string; text: string; hash: string; revision: number; typing: string }
  | { kind: "shown"; path: string; revision: number } & Shown
  | { kind: "voice"; path: string; revision: number; voice: number; svg: string; line: number } // after a cursor moves
  | { kind: "keyed"; path: string; revision: number; cursor: number; text: string } // the letter to type, an octave only where needed
  | { kind: "why"; path: string; revision: number; voice: number; start: number; why: string }
  | { kind: "saved"; path: string; revision: number; hash: string }
  | { kind: "changed_on_disk"; path: string; text: string; hash: string }   // nothing was written
  | { kind: "not_saved"; path: string; revision: number; message: string }  // disk full, no right to write …
  | { kind: "mended"; path: string; revision: number; suggestions: Suggestion[] }
  | { kind: "fixed"; path: string; revision: number; text: string }
  | { kind: "typing"; path: string; window: string }       // who types now
  | { kind: "peer"; path: string; revision: number; text: string }; // the text typed in another window

/// What a text shows. `systems` holds all systems in order; `svg` is left out where the page has the hash.
export interface System { hash: string; svg: string | null; width: number; height: number }
export interface Shown {
  systems: System[];
  voice: { index: number; svg: string; line: number | null } | null; // the voice of the cursor as printed, its line lit
  findings: Finding[];
  events: Event[];
  bars: number;
  voices: { name: string; lines: number; start: number; end: number }[]; // lines: how many lines of the source are typed
  strips: { voice: string; line: number; file: string; page: number; x: number; y: number; w: number; h: number;
    angle: number; start: number; end: number }[]; // the facsimile items of the head; voice "*" is a system of all
  failed: string | null;   // layout failed: keep the last picture, dimmed
}
/// A row, since there are hundreds. Start and end are bytes of the text, from and until minims; what it is ("minim D4"), for
/// people.
export type Event = [index: number, voice: number, start: number, end: number, from: number, until: number, what: string];
export interface Finding { code: string; severity: "error" | "warning" | "note"; message: string; help: string | null;
  start: number; end: number; line: number; column: number; voice: number | null;
  fix: { label: string; edits: { start: number; end: number; text: string }[] } | null;
  choices: { label: string; edits: { start: number; end: number; text: string }[] }[] } // octaves, chosen with the arrows
export interface Suggestion { rank: number; slip: number; confidence: number; voice: number; event: number;
  start: number; end: number; printed: string; read: string; reason: string }
/// Words of a study, and when the place begins that they name, in minims.
export interface Said { text: string; at: number | null }
export interface Studied { title: string; facts: string[];
  parts: { heading: string; columns: string[]; rows: Said[][][] }[]; // sentences are rows of one cell, without columns
  systems: System[]; // of the score, with the marks of the study
  drawn: string[] }
export interface Place { event: number; x: number; y: number; w: number; h: number }
