// Examples: a note that is touched lights up in all views of its example, and says why it lasts as long as it
// does; an example is played by its recording, or else by a plain tone. One script serves all examples of a page,
// also those that come later, and does nothing when it stands there again.
(() => {
  "use strict";
  if (window.exampleFigures) return;
  window.exampleFigures = true;

  const FIGURE = "figure.example";
  // A finger is not exact: so far from a note, in pixels, it is still meant.
  const NEAR = 22;

  const known = new WeakMap();
  const data = (figure) => {
    if (!known.has(figure)) {
      const script = figure.querySelector("script[type='application/json']");
      known.set(figure, JSON.parse(script.textContent));
    }
    return known.get(figure);
  };

  const signs = (figure, voice, index) =>
    figure.querySelectorAll(`[data-voice="${CSS.escape(voice)}"] > [data-index="${index}"]`);

  const dim = (figure, name) =>
    figure.querySelectorAll("." + name).forEach((sign) => sign.classList.remove(name));

  const say = (figure, voice, index) => {
    const { why, critical, notes } = data(figure);
    const about = (list) => list.filter((one) => one.voice === voice && one.index === index);
    const lines = [why[voice] && why[voice][index]];
    lines.push(...about(critical).map((one) => `${one.letter}: ${one.text}`));
    lines.push(...about(notes).map((one) => `${one.number}: ${one.text}`));
    figure.querySelector(".said").textContent = lines.filter(Boolean).join(" · ");
  };

  const light = (figure, voice, index) => {
    dim(figure, "lit");
    signs(figure, voice, index).forEach((sign) => sign.classList.add("lit"));
    say(figure, voice, index);
  };

  // The note or rest that lies nearest to a place on the screen.
  const nearest = (svg, x, y) => {
    let best = null;
    let least = NEAR;
    for (const sign of svg.querySelectorAll("[data-voice] > [data-index]")) {
      const box = sign.getBoundingClientRect();
      // What is left blank has a place among the notes, but none on the screen.
      if (box.width + box.height === 0) continue;
      const across = Math.max(box.left - x, 0, x - box.right);
      const down = Math.max(box.top - y, 0, y - box.bottom);
      const far = Math.hypot(across, down);
      if (far < least) [best, least] = [sign, far];
    }
    return best;
  };

  document.addEventListener("click", (event) => {
    const pointing = event.target.closest("a[data-voice]");
    if (pointing) {
      const figure = document.querySelector(pointing.getAttribute("href"));
      if (figure) light(figure, pointing.dataset.voice, Number(pointing.dataset.note));
      return;
    }
    const svg = event.target.closest(FIGURE + " svg");
    if (!svg) return;
    const sign = nearest(svg, event.clientX, event.clientY);
    const figure = svg.closest(FIGURE);
    if (sign) light(figure, sign.parentElement.dataset.voice, Number(sign.dataset.index));
    else dim(figure, "lit");
  });

  let stop = () => {};

  // Lights what sounds, by a clock in seconds, until it gives nothing any more.
  const follow = (figure, clock) => {
    const { played, voices } = data(figure);
    let last = -1;
    const step = () => {
      const now = clock();
      if (now === null) {
        dim(figure, "sounding");
        return;
      }
      if (Math.abs(now - last) > 0.03) {
        last = now;
        dim(figure, "sounding");
        for (const [voice, index, from, to] of played) {
          if (from <= now && now < to) {
            signs(figure, voices[voice], index).forEach((sign) => sign.classList.add("sounding"));
          }
        }
      }
      requestAnimationFrame(step);
    };
    requestAnimationFrame(step);
  };

  const tone = (figure, ended) => {
    const { played } = data(figure);
    const context = new AudioContext();
    const loudness = context.createGain();
    loudness.gain.value = 0.16;
    loudness.connect(context.destination);
    const begin = context.currentTime + 0.1;
    let end = 0;
    for (const [, , from, to, frequency] of played) {
      const note = context.createOscillator();
      const shape = context.createGain();
      note.type = "triangle";
      note.frequency.value = frequency;
      shape.gain.setValueAtTime(0, begin + from);
      shape.gain.linearRampToValueAtTime(1, begin + from + 0.02);
      shape.gain.setValueAtTime(1, Math.max(begin + from + 0.02, begin + to - 0.05));
      shape.gain.linearRampToValueAtTime(0, begin + to);
      note.connect(shape).connect(loudness);
      note.start(begin + from);
      note.stop(begin + to + 0.01);
      end = Math.max(end, to);
    }
    let over = false;
    follow(figure, () => {
      const now = context.currentTime - begin;
      if (!over && now > end + 0.3) stop();
      return over ? null : now;
    });
    return () => {
      over = true;
      context.close();
      ended();
    };
  };

  document.addEventListener("click", (event) => {
    const button = event.target.closest(FIGURE + " button.play");
    if (!button) return;
    const was = button.getAttribute("aria-pressed") === "true";
    stop();
    stop = () => {};
    if (was) return;
    const figure = button.closest(FIGURE);
    const set = (on) => {
      button.setAttribute("aria-pressed", String(on));
      button.textContent = on ? button.dataset.stop : button.dataset.play;
    };
    set(true);
    const end = tone(figure, () => set(false));
    stop = () => {
      stop = () => {};
      end();
    };
  });

  // Recordings have controls of their own.
  document.addEventListener(
    "play",
    (event) => {
      const figure = event.target.closest(FIGURE);
      if (!figure) return;
      const audio = event.target;
      stop();
      document.querySelectorAll("audio").forEach((other) => other !== audio && other.pause());
      follow(figure, () => (audio.paused || audio.ended ? null : audio.currentTime));
    },
    true,
  );

  // Without this script there is nothing for these buttons to do, so they are hidden.
  const reveal = () =>
    document.querySelectorAll(FIGURE + " [hidden]").forEach((one) => one.removeAttribute("hidden"));
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", reveal);
  else reveal();
})();
