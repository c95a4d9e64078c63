/** The monitors' side of Modbus TCP: one server a monitor, its identification and its misbehaviour. */
@NullMarked
package oilbird.demoplant.wire;

import org.jspecify.annotations.NullMarked;
