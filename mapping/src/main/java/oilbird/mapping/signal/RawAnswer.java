package oilbird.mapping.signal;

/** What a device answered to one request, before any meaning was given to it: kept for the record of a fault-finding. */
public interface RawAnswer {
    /** As text, the same for the same answer: {@code function 3, from 256: 0001 C001}; addresses are zero-based PDU addresses, cells
     * hexadecimal. */
    String text();
}
