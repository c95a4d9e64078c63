@NullMarked
package oilbird.gateway.opcua.server;

import org.jspecify.annotations.NullMarked;
