/** The integrator's tool: looks at one device and at the map that describes it. Reads, never writes to a device. */
@NullMarked
package oilbird.gateway.modbus.inspect;

import org.jspecify.annotations.NullMarked;
