/** The scripted day: its scenes, what the gateway is expected to say to each, and whether it did. */
@NullMarked
package oilbird.demoplant.day;

import org.jspecify.annotations.NullMarked;
