package oilbird.mapping.map;

import oilbird.mapping.address.Place;

/**
 * A range where reading changes something in the device: words that clear when read, buffers that advance.
 *
 * @param text what reading does there.
 */
public record ReadEffect(Place place, String text) {}
