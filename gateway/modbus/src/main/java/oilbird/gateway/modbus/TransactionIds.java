package oilbird.gateway.modbus;

/**
 * Numbers the requests to one host and port, 0 to 65535 and round again.
 *
 * <p>It outlives a connection on purpose: a Modbus gateway may hold a late reply and send it on the next
 * connection, where a counter that began anew could take it for its own.
 */
final class TransactionIds {
    private int next;

    TransactionIds(int first) {
        next = first & 0xFFFF;
    }

    int next() {
        int id = next;
        next = (next + 1) & 0xFFFF;
        return id;
    }
}
