@NullMarked
package oilbird.gateway.opcua.inspect;

import org.jspecify.annotations.NullMarked;
