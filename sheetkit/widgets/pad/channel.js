// Messages to Python, numbered; Python's echo tells the last number it has dealt with.

const ECHO_MS = 1700;
const PHOTO_MS = 20_000; // a photo takes its time on the way and in Python
const PING_MS = 1500;

/** Sends, and calls `onSilence` when no echo comes within two seconds. */
export class Channel {
  constructor(model, client, onSilence) {
    Object.assign(this, { model, client, onSilence, number: 0, timer: 0, lastPing: 0, slowUntil: 0 });
  }

  send(message, buffers) {
    this.number += 1;
    clearTimeout(this.timer);
    const slow = ["photo", "calibrate", "rectify", "grow", "cards"].includes(message.type);
    if (slow) this.slowUntil = Date.now() + PHOTO_MS;
    this.timer = setTimeout(this.onSilence, Math.max(ECHO_MS, this.slowUntil - Date.now()));
    try {
      this.model.send({ ...message, client: this.client, number: this.number }, undefined, buffers);
    } catch {
      this.onSilence();
    }
  }

  /** Whether Python has dealt with all that was sent; then the wait is over. */
  heard(acks) {
    const all = (acks?.[this.client] ?? 0) >= this.number;
    if (all) {
      clearTimeout(this.timer);
      this.slowUntil = 0;
    }
    return all;
  }

  /** Whether it is time to ask if Python is still there and the file still ours. */
  pingIsDue(acks) {
    if (Date.now() - this.lastPing < PING_MS || (acks?.[this.client] ?? 0) < this.number) return false;
    this.lastPing = Date.now();
    return true;
  }

  close() {
    clearTimeout(this.timer);
  }
}
