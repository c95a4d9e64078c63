/** Event filters against the tables of OPC 10000-4 and a naive twin. */
@NullMarked
package oilbird.gateway.opcua.server.filter;

import org.jspecify.annotations.NullMarked;
