@NullMarked
package oilbird.gateway.modbus;

import org.jspecify.annotations.NullMarked;
