/**
 * Polls devices over Modbus TCP, read-only by construction.
 *
 * <p>The way of one request: {@link oilbird.gateway.modbus.ModbusPoller} starts one {@code PollLine} a
 * connection, {@code PollPlan} says which block is due, {@link oilbird.gateway.modbus.ModbusTcpConnection}
 * exchanges one frame, the device's decoder gives the cells a meaning, and the outcome goes to the engine's
 * queue.
 */
@NullMarked
package oilbird.gateway.modbus;

import org.jspecify.annotations.NullMarked;
