/** Alarms and conditions of OPC 10000-9 without a node for each: images, event filters, refresh, methods, audit. */
@NullMarked
package oilbird.gateway.opcua.server.condition;

import org.jspecify.annotations.NullMarked;
