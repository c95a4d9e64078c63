/**
 * Event filters of OPC 10000-4 (7.7, 7.22.3) in full: which fields an event gives, and whether it passes.
 */
@NullMarked
package oilbird.gateway.opcua.server.filter;

import org.jspecify.annotations.NullMarked;
