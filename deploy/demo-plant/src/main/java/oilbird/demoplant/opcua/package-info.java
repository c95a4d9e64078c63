/** The monitors' side of OPC UA: one server a monitor, its variables, its security and its silence. */
@NullMarked
package oilbird.demoplant.opcua;

import org.jspecify.annotations.NullMarked;
