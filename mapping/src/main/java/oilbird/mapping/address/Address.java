package oilbird.mapping.address;

/** Where a device keeps a value: cells of a Modbus table, or a node of an OPC UA server. */
public sealed interface Address permits Place, Node {}
