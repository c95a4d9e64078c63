package oilbird.mapping.signal;

/**
 * A status word as it came from the device, kept for the record.
 *
 * @param id device and word.
 * @param bits the word, bit 0 in the least significant place.
 * @param width 16, 32 or 64.
 * @param undocumented mask of the set bits that the device map knows nothing about.
 */
public record StatusWordValue(SignalId id, long bits, int width, long undocumented, Moment at) {}
