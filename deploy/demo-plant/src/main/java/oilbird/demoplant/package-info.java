/**
 * A small invented plant: four monitors on real Modbus TCP sockets, the scenes that trouble them, and a stand-in for
 * the control room that reads the alarms. It shares no code with the gateway and encodes every word on its own, so that
 * one misreading cannot hide on both sides.
 */
@NullMarked
package oilbird.demoplant;

import org.jspecify.annotations.NullMarked;
