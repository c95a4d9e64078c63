/** Fetches the values of OPC UA servers and offers them to the engine. Reads and subscribes; never writes or calls. */
@NullMarked
package oilbird.gateway.opcua;

import org.jspecify.annotations.NullMarked;
