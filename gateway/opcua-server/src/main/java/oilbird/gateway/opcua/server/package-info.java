/** The OPC UA server of the gateway: a link that control-room systems connect to. */
@NullMarked
package oilbird.gateway.opcua.server;

import org.jspecify.annotations.NullMarked;
