/** A stand-in for the control room: an MQTT broker and a reader that prints each explained alarm. */
@NullMarked
package oilbird.demoplant.room;

import org.jspecify.annotations.NullMarked;
