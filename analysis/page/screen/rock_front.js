// The tank through the front glass, drawn by the film player's own hand: stones, shelters, what is in view.

import { put } from "./dom.js";
import { oval, paintEye, shade, sized, twoTone } from "./rock_ink.js";

const PLAYER = "/player.js";
let asked = null;

/** The film player's part that draws a tank without fish. */
function player() {
  asked ??= new Promise((found, failed) => {
    const onerror = () => {
      asked = null; // to be asked for again at the next picture
      failed(new Error(PLAYER));
    };
    const onload = () => (window.rockshyStill ? found(window.rockshyStill) : onerror());
    put(document.head, "script", null, { onload, onerror, src: PLAYER });
  });
  return asked;
}

export class Front {
  #still = null;
  #painted = null;
  #frame = null;
  #room = 0;

  constructor(canvas) {
    this.canvas = canvas;
  }

  async paint(state, width) {
    const hand = await player();
    if (!state.answer || width < 10) return;
    this.#draw(hand, state.answer.still, width);
    const frame = this.#frame;
    const high = Math.ceil(frame.stripTop - frame.scale);
    const ink = sized(this.canvas, frame.width, high);
    ink.drawImage(this.#painted, 0, 0, frame.width, frame.height);
    const isSeen = state.answer.sight && state.place;
    if (isSeen) this.#paintSight(ink, state.answer, frame);
    this.#paintMouths(ink, state.answer, frame);
    if (isSeen) {
      const [x, y, z] = state.answer.sight.place;
      paintEye(ink, frame.x(x, y), frame.z(z, y));
    }
    this.canvas.dataset.drawn = "yes"; // for whoever waits for the first picture
  }

  /** The place under a pointer, y cm behind the glass: cm from the left and above the base. */
  at(event, y) {
    const frame = this.#frame;
    if (!frame) return null;
    const box = this.canvas.getBoundingClientRect();
    const [across, down] = [event.clientX - box.left, event.clientY - box.top];
    const [eyeX, eyeZ] = frame.view;
    const share = frame.share(y);
    return {
      x: eyeX + ((across - frame.left) / frame.scale - eyeX) / share,
      z: eyeZ + ((frame.floor - down) / frame.scale - eyeZ) / share,
    };
  }

  #draw(hand, still, width) {
    if (this.#still === still && this.#room === width) return;
    this.#still = still;
    this.#room = width;
    this.#frame = new hand.Frame(still, width, 10 * width);
    this.#painted = hand.paintStill(still, this.#frame, 1, Math.min(3, window.devicePixelRatio || 1)).whole;
  }

  #paintMouths(ink, { crevices }, frame) {
    for (const { x, y, z, mouth } of crevices) {
      const half = Math.max(3, 0.55 * mouth * frame.scale * frame.share(y));
      oval(ink, frame.x(x, y), frame.z(z, y), half, 0.85 * half);
      twoTone(ink, () => ink.stroke(), { width: 1 });
    }
  }

  /** Each column of water from the glass to the back is drawn halfway back. */
  #paintSight(ink, { sight, size }, frame) {
    const [across, , up] = sight.cells;
    const [long, deep, , water] = size;
    const y = deep / 2;
    const x = (k) => frame.x((k * long) / across, y);
    const z = (k) => frame.z(((up - k) * water) / up, y);
    shade(ink, sight.front, (r, c) => [x(c), z(r), x(c + 1) - x(c), z(r + 1) - z(r)]);
  }
}
