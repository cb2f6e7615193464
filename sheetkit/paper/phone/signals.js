// Sound, a buzz and a screen that stays on, as far as the browser lets a page.

/** Tones on demand: a browser lets a page sound only after it was touched. */
export function sounder(node) {
  let audio = null;
  const tone = (from, seconds, hertz) => {
    const wave = audio.createOscillator(); const loud = audio.createGain();
    wave.frequency.value = hertz; loud.gain.value = 0.5;
    wave.connect(loud).connect(audio.destination);
    wave.start(audio.currentTime + from); wave.stop(audio.currentTime + from + seconds);
  };
  return {
    /** To be called while a finger is down. */
    touched() {
      try { audio ??= new AudioContext(); if (audio.state === "suspended") audio.resume(); } catch { /* silent */ }
    },
    /** So many tones, one after the other; a buzz with them where the phone has one. */
    sound(count) {
      node.dataset.beeps = Number(node.dataset.beeps ?? 0) + count;
      try {
        for (let n = 0; n < count; n += 1) tone(0.35 * n, 0.25, 880);
        navigator.vibrate?.(Array(count).fill(250));
      } catch { /* a page without sound still shows the countdown */ }
    },
  };
}

/** Keep the screen on while work is under way, where the browser can; quietly nothing where it can't. */
export function waker() {
  let [lock, wanted] = [null, false];
  async function hold() {
    if (!wanted || lock || document.visibilityState !== "visible") return;
    try {
      lock = await navigator.wakeLock.request("screen");
      lock.addEventListener("release", () => { lock = null; });
      if (!wanted) lock.release();
    } catch { lock = null; }
  }
  document.addEventListener("visibilitychange", hold);
  return (on) => {
    wanted = on;
    if (on) hold(); else lock?.release();
  };
}
