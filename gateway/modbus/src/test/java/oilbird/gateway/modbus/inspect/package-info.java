@NullMarked
package oilbird.gateway.modbus.inspect;

import org.jspecify.annotations.NullMarked;
