// Times and temperatures in words.

export const clock = (seconds) => {
  const whole = Math.max(0, Math.round(seconds));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
};

export const spoken = (seconds) => {
  const whole = Math.max(0, Math.round(seconds));
  const minutes = Math.floor(whole / 60);
  return minutes ? `${minutes} min ${whole % 60} s` : `${whole} s`;
};

const shownDegrees = (celsius, unit) => (unit === "F" ? celsius * 1.8 + 32 : celsius);
export const degrees = (celsius, unit) => `${Math.round(shownDegrees(celsius, unit))}\u00a0°${unit}`;
/** A text whose figures stay on one line with their degrees. */
export const unbroken = (text) => text.replaceAll(" °", "\u00a0°");
