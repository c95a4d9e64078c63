// A probability as a person reads it. No DOM in here.

/** Whole per cent; never 0 or 100 for what is only nearly so. */
export function percent(probability) {
  if (probability >= 0.995) return probability === 1 ? '100 %' : 'over 99 %';
  if (probability < 0.005) return probability === 0 ? '0 %' : 'under 1 %';
  return `${Math.round(probability * 100)} %`;
}
