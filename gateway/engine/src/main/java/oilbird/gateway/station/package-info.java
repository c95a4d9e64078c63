/** Reads a station folder (station.yaml, maps, rules) into what the gateway runs on, or into every mistake in it. */
@NullMarked
package oilbird.gateway.station;

import org.jspecify.annotations.NullMarked;
