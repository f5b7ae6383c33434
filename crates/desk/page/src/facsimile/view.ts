// A page of the source, moved and zoomed. The picture is kept at full, half, quarter … size, and the smallest that is
// large enough is drawn, so that a page of 4000 by 6000 pixels moves smoothly.

import { el } from "../dom";

export interface Box {
  x: number;
  y: number;
  w: number;
  h: number;
  angle: number; // degrees clockwise round its middle
}

const LARGEST_ZOOM = 8;
const SMALLEST_LEVEL = 300;

export class PageView {
  readonly canvas = el("canvas", { class: "page-canvas" });
  /// Lies over the picture, and is moved and scaled with it; its units are pixels of the picture.
  readonly layer = el("div", { class: "page-layer" });
  readonly element = el("div", { class: "page-view" }, this.canvas, this.layer);
  private levels: ImageBitmap[] = [];
  private scale = 1;
  private x = 0;
  private y = 0;
  private asked = 0;
  /// The whole page is shown, and stays so when the pane is sized.
  private whole = true;
  /// Units of a box per pixel of the picture: pages of a PDF are measured in points.
  unit = 1;

  constructor(label: string) {
    this.canvas.tabIndex = 0;
    this.canvas.setAttribute("role", "img");
    this.canvas.setAttribute("aria-label", label);
    this.element.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    this.canvas.addEventListener("pointerdown", (event) => this.drag(event));
    this.canvas.addEventListener("keydown", (event) => this.key(event));
    new ResizeObserver(() => this.resize()).observe(this.element);
  }

  get there(): boolean {
    return this.levels.length > 0;
  }

  get width(): number {
    return this.levels[0]?.width ?? 0;
  }

  get height(): number {
    return this.levels[0]?.height ?? 0;
  }

  async load(picture: Blob): Promise<void> {
    const whole = await createImageBitmap(picture);
    const levels = [whole];
    for (let last = whole; Math.max(last.width, last.height) > 2 * SMALLEST_LEVEL;) {
      last = await createImageBitmap(last, { resizeWidth: last.width >> 1, resizeHeight: last.height >> 1, resizeQuality: "medium" });
      levels.push(last);
    }
    this.clear();
    this.levels = levels;
    this.fit();
  }

  clear(): void {
    for (const level of this.levels) level.close();
    this.levels = [];
    this.draw();
  }

  fit(): void {
    const { clientWidth, clientHeight } = this.element;
    if (!this.there || !clientWidth || !clientHeight) return;
    this.scale = Math.min(clientWidth / this.width, clientHeight / this.height);
    this.x = (clientWidth - this.width * this.scale) / 2;
    this.y = (clientHeight - this.height * this.scale) / 2;
    this.whole = true;
    this.draw();
  }

  zoom(by: number, at_x = this.element.clientWidth / 2, at_y = this.element.clientHeight / 2): void {
    const least = Math.min(this.element.clientWidth / this.width, this.element.clientHeight / this.height) / 2;
    const scale = Math.min(Math.max(this.scale * by, least), LARGEST_ZOOM);
    this.x = at_x - ((at_x - this.x) * scale) / this.scale;
    this.y = at_y - ((at_y - this.y) * scale) / this.scale;
    this.scale = scale;
    this.whole = false;
    this.draw();
  }

  move(dx: number, dy: number): void {
    // Some of the page always stays in sight.
    this.whole = false;
    const { clientWidth, clientHeight } = this.element;
    const edge = 40;
    this.x = Math.min(Math.max(this.x + dx, edge - this.width * this.scale), clientWidth - edge);
    this.y = Math.min(Math.max(this.y + dy, edge - this.height * this.scale), clientHeight - edge);
    this.draw();
  }

  /// Brings a box into sight, as wide as the pane.
  show(box: Box): void {
    const { clientWidth, clientHeight } = this.element;
    if (!this.there || !clientWidth) return;
    const [x, y, w, h] = [box.x, box.y, box.w, box.h].map((value) => value / this.unit) as [number, number, number, number];
    this.scale = Math.min((clientWidth * 0.96) / w, clientHeight / (h * 1.2), LARGEST_ZOOM);
    this.x = clientWidth / 2 - (x + w / 2) * this.scale;
    this.y = clientHeight / 2 - (y + h / 2) * this.scale;
    this.whole = false;
    this.draw();
  }

  /// From a place on the screen to units of a box.
  place(event: PointerEvent): { x: number; y: number } {
    const { left, top } = this.element.getBoundingClientRect();
    return { x: ((event.clientX - left - this.x) / this.scale) * this.unit, y: ((event.clientY - top - this.y) / this.scale) * this.unit };
  }

  /// The box cut out of the page, straight, into a canvas so many pixels wide.
  cut(box: Box, into: HTMLCanvasElement, width: number): void {
    const { x, y, w, h, angle } = { x: box.x / this.unit, y: box.y / this.unit, w: box.w / this.unit, h: box.h / this.unit, angle: box.angle };
    const scale = width / w;
    into.width = Math.round(width);
    into.height = Math.max(1, Math.round(h * scale));
    const context = into.getContext("2d");
    const [level, shrunk] = this.level(scale);
    if (!context || !level) return;
    context.translate(into.width / 2, into.height / 2);
    context.scale(scale, scale);
    context.rotate((-angle * Math.PI) / 180);
    context.translate(-(x + w / 2), -(y + h / 2));
    context.drawImage(level, 0, 0, level.width * shrunk, level.height * shrunk);
  }

  /// The smallest picture that is large enough, and how much it was made smaller.
  private level(scale: number): [ImageBitmap | undefined, number] {
    let index = 0;
    while (index + 1 < this.levels.length && scale * 2 ** (index + 1) <= 1) index += 1;
    const level = this.levels[index];
    return [level, level ? this.width / level.width : 1];
  }

  private resize(): void {
    const ratio = window.devicePixelRatio || 1;
    this.canvas.width = Math.round(this.element.clientWidth * ratio);
    this.canvas.height = Math.round(this.element.clientHeight * ratio);
    if (this.whole) this.fit();
    this.paint();
  }

  private draw(): void {
    if (this.asked) return;
    this.asked = requestAnimationFrame(() => this.paint());
  }

  private paint(): void {
    this.asked = 0;
    const context = this.canvas.getContext("2d");
    if (!context) return;
    const ratio = window.devicePixelRatio || 1;
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.clearRect(0, 0, this.canvas.width, this.canvas.height);
    const [level, shrunk] = this.level(this.scale * ratio);
    if (level) {
      const drawn = this.scale * ratio * shrunk;
      context.setTransform(drawn, 0, 0, drawn, this.x * ratio, this.y * ratio);
      context.drawImage(level, 0, 0);
    }
    this.layer.style.transform = `translate(${this.x}px, ${this.y}px) scale(${this.scale / this.unit})`;
    this.layer.style.setProperty("--line", `${(2 * this.unit) / this.scale}px`);
    this.layer.style.setProperty("--handle", `${(12 * this.unit) / this.scale}px`);
  }

  private wheel(event: WheelEvent): void {
    if (!this.there) return;
    event.preventDefault();
    const { left, top } = this.element.getBoundingClientRect();
    if (event.shiftKey) this.move(-event.deltaY || -event.deltaX, 0);
    else this.zoom(Math.exp(-event.deltaY * (event.ctrlKey ? 0.01 : 0.0015)), event.clientX - left, event.clientY - top);
  }

  private drag(event: PointerEvent): void {
    if (event.button !== 0) return;
    let [x, y] = [event.clientX, event.clientY];
    this.canvas.setPointerCapture(event.pointerId);
    const moved = (next: PointerEvent) => {
      this.move(next.clientX - x, next.clientY - y);
      [x, y] = [next.clientX, next.clientY];
    };
    const ended = () => {
      this.canvas.removeEventListener("pointermove", moved);
      this.canvas.removeEventListener("pointerup", ended);
      this.canvas.removeEventListener("pointercancel", ended);
    };
    this.canvas.addEventListener("pointermove", moved);
    this.canvas.addEventListener("pointerup", ended);
    this.canvas.addEventListener("pointercancel", ended);
  }

  private key(event: KeyboardEvent): void {
    const step = event.shiftKey ? 200 : 40;
    const act: Record<string, () => void> = {
      ArrowLeft: () => this.move(step, 0), ArrowRight: () => this.move(-step, 0),
      ArrowUp: () => this.move(0, step), ArrowDown: () => this.move(0, -step),
      "+": () => this.zoom(1.25), "=": () => this.zoom(1.25), "-": () => this.zoom(0.8), "0": () => this.fit(),
    };
    const run = event.ctrlKey || event.altKey || event.metaKey ? undefined : act[event.key];
    if (!run) return;
    event.preventDefault();
    run();
  }
}
