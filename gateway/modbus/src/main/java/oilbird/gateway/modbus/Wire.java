package oilbird.gateway.modbus;

import java.io.IOException;

/** A stream of bytes both ways: a serial port, or a TCP connection to one. */
interface Wire extends AutoCloseable {
    /**
     * Reads what is there, or waits for the first byte.
     *
     * @param until {@link System#nanoTime} at which waiting ends; past means not to wait at all.
     * @return bytes read; 0 when none came in time; -1 when the far end has closed.
     * @throws IOException when the wire is no longer usable.
     */
    int read(byte[] to, int offset, int length, long until) throws IOException;

    void write(byte[] from, int length) throws IOException;

    @Override
    void close();
}
