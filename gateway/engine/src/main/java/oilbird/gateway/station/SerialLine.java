package oilbird.gateway.station;

import java.time.Duration;

/**
 * One Modbus serial line with the units on it.
 *
 * @param way how the gateway comes to it.
 * @param baud bits a second, 1200 to 115200.
 * @param echo true where the adapter gives back what is sent, as many two-wire ones do; it is then taken away.
 */
public record SerialLine(String id, String name, Way way, int baud, Format format, boolean echo) {
    /** MODBUS over Serial Line V1.02, 2.5.1.1: above this rate silences have fixed lengths. */
    private static final int FASTEST_BY_CHARACTERS = 19_200;

    private static final Duration FASTEST_GAP = Duration.ofNanos(1_750_000);
    private static final long NANOS = 1_000_000_000L;

    /** How the gateway comes to the line. */
    public sealed interface Way {
        /** As people write it. */
        String written();

        /** A serial port of this machine. */
        record Port(String path) implements Way {
            @Override
            public String written() {
                return path;
            }
        }

        /** Frames of the serial line through a TCP connection, as terminal servers carry them. */
        record Tcp(String host, int port) implements Way {
            @Override
            public String written() {
                return host + ":" + port;
            }
        }
    }

    /** Data bits, parity and stop bits. */
    public enum Format {
        /** The default of the specification, V1.02, 2.5.1. */
        EVEN_1("8E1", 11),
        ODD_1("8O1", 11),
        /** What the specification asks for where there is no parity. */
        NONE_2("8N2", 11),
        /** Against the specification; common practice all the same. */
        NONE_1("8N1", 10);

        private final String written;
        private final int bits;

        Format(String written, int bits) {
            this.written = written;
            this.bits = bits;
        }

        public String written() {
            return written;
        }

        /** Bits of one character, the start bit included. */
        public int bits() {
            return bits;
        }

        /** The format that is written so; the specification's default where none is. */
        static Format of(String written) {
            for (Format format : values()) {
                if (format.written.equals(written)) {
                    return format;
                }
            }
            return EVEN_1;
        }
    }

    /** Time of so many characters on the wires. */
    public Duration characters(int count) {
        return Duration.ofNanos(count * format.bits() * NANOS / baud);
    }

    /**
     * The silence that separates frames: 3.5 characters, and 1.75 ms above 19200 bits a second.
     *
     * <p>MODBUS over Serial Line V1.02, 2.5.1.1.
     */
    public Duration frameGap() {
        return baud > FASTEST_BY_CHARACTERS ? FASTEST_GAP : Duration.ofNanos(7L * format.bits() * NANOS / (2L * baud));
    }
}
