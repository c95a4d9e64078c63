package oilbird.gateway.engine.record;

import java.io.IOException;

/** The event record was written by a newer version of the program; it is whole, and this version must not touch it. */
public final class RecordFormatException extends IOException {
    private static final long serialVersionUID = 1L;

    public RecordFormatException(String message) {
        super(message);
    }
}
