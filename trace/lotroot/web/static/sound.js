/* What does a verdict sound and feel like?

   Each pattern is a list of tones [start ms, length ms, Hz]. They differ in rhythm, never in loudness,
   last less than 0.7 s, and do not sweep or alternate, so that none is taken for a plant alarm. The pitches lie
   in one band of 200 to 5000 Hz, neighbours about 20 % apart (NUREG-0700 rev. 3, auditory displays). The same
   rhythm goes to the vibration motor where there is one. No verdict is told by sound alone: the page says it. */

import { setting } from "./setting.js";

export const PATTERNS = {
  accepted: [[0, 110, 1320]],
  already: [[0, 90, 1320], [190, 90, 1320]],
  refused: [[0, 180, 660], [230, 180, 550], [460, 180, 440]],
  held: [[0, 200, 550], [260, 60, 550], [380, 200, 550]],
  ask: [[0, 70, 1100], [150, 220, 1100]],
  unsent: [[0, 50, 880], [120, 50, 880], [240, 50, 880], [360, 50, 880]],
};

const SETTING = "lotroot-sound";
const LOUDNESS = 0.35;
const EDGE = 0.008; // seconds of fade, so that a tone does not click
let context = null;

/** Whole length of a pattern in ms. */
export function lasts(pattern) {
  return Math.max(...pattern.map(([start, length]) => start + length));
}

/** The pattern as navigator.vibrate wants it: on, off, on, ... in ms. */
export function rhythm(pattern) {
  return pattern.flatMap(([start, length], place) => {
    const next = pattern[place + 1];
    return next ? [length, next[0] - start - length] : [length];
  });
}

export const muted = () => setting(SETTING) === "off";

export const mute = (off) => setting(SETTING, off ? "off" : "on");

/** Play a pattern by name; returns the pattern played, or null where sound is off. */
export function play(name) {
  const pattern = PATTERNS[name];
  // Browsers keep sound asleep until the first key or touch, then play what piled up; the scan's own keys wake it.
  if (navigator.userActivation?.hasBeenActive === false) return null;
  navigator.vibrate?.(rhythm(pattern));
  if (muted() || !window.AudioContext) return null;
  context ??= new AudioContext();
  context.resume().then(() => pattern.forEach(tone), () => {});
  return pattern;
}

function tone([start, length, pitch]) {
  const from = context.currentTime + start / 1000;
  const until = from + length / 1000;
  const source = new OscillatorNode(context, { type: "triangle", frequency: pitch });
  const level = new GainNode(context, { gain: 0 });
  level.gain.setValueAtTime(0, from);
  level.gain.linearRampToValueAtTime(LOUDNESS, from + EDGE);
  level.gain.setValueAtTime(LOUDNESS, until - EDGE);
  level.gain.linearRampToValueAtTime(0, until);
  source.connect(level).connect(context.destination);
  source.start(from);
  source.stop(until);
}
