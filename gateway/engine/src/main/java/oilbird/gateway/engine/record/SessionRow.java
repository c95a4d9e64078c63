package oilbird.gateway.engine.record;

/**
 * A row of a guided fault-finding, byte for byte as the event record has it.
 *
 * @param position in the event record.
 * @param body UTF-8 JSON of the event as it was stored.
 * @param hash SHA-256 over the hash of the row before it in the same session (32 zero bytes for the first) and the body.
 * @param recordPrevious hash of the row before it in the event record, whatever it is about.
 * @param recordHash SHA-256 over {@code recordPrevious} and the body: its hash in the event record.
 */
@SuppressWarnings("ArrayRecordComponent") // never compared
public record SessionRow(long position, byte[] body, byte[] hash, byte[] recordPrevious, byte[] recordHash) {}
