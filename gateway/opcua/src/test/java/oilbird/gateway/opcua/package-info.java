@NullMarked
package oilbird.gateway.opcua;

import org.jspecify.annotations.NullMarked;
