/** A length of time in words, s, min and h, with no more than tenths of a second: "12.5 s", "3 min 20 s", "1 h 5 min". */
export function duration(seconds: number): string {
  const tenths = Math.round(seconds * 10);
  if (tenths < 1200) return `${tenths / 10} s`;
  const whole = Math.round(seconds);
  const [hours, minutes, rest] = [Math.floor(whole / 3600), Math.floor((whole % 3600) / 60), whole % 60];
  return [hours && `${hours} h`, minutes && `${minutes} min`, rest && `${rest} s`].filter(Boolean).join(' ');
}

/** Three figures, without an exponent where that can be. */
export const figure = (value: number): string => String(Number(value.toPrecision(3)));
