package oilbird.demoplant.device;

/**
 * One reading as its maker lists it.
 *
 * @param name our name for it, used by the commands
 * @param unit unit of the value
 * @param register first register, zero-based PDU address
 * @param coding how it is coded
 */
public record ReadingForm(String name, String unit, int register, Coding coding) {}
