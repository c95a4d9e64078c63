/** The address space: what clients can browse, read and subscribe to. */
@NullMarked
package oilbird.gateway.opcua.server.space;

import org.jspecify.annotations.NullMarked;
