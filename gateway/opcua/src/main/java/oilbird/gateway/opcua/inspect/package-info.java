/** The integrator's tool for OPC UA servers: looks at one, and drafts a map from it. Reads, never writes or calls. */
@NullMarked
package oilbird.gateway.opcua.inspect;

import org.jspecify.annotations.NullMarked;
