package oilbird.gateway.modbus;

import com.ghgande.j2mod.modbus.util.ModbusUtil;
import java.io.IOException;
import java.time.Duration;
import java.util.HashMap;
import java.util.HashSet;
import java.util.Map;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.locks.LockSupport;
import oilbird.gateway.station.SerialLine;
import org.jspecify.annotations.Nullable;

/**
 * One serial line with the units on it, spoken to as its only master; not for use by several threads.
 *
 * <p>MODBUS over Serial Line V1.02, 2.5. Frames are found by their length and CRC: the 1.5 characters of silence inside
 * a frame that the specification allows cannot be seen through an operating system, let alone through a terminal
 * server. The silence between frames is kept.
 *
 * <p>A serial frame says neither which request it answers nor who asked. Therefore an answer must be the next thing on
 * the line, complete, and followed by silence; after a failure the line is left until it is silent; a unit that did
 * not answer in time is left alone for as long again; and any frame that our requests do not explain makes every
 * answer of the line doubtful for a minute.
 */
final class RtuConnection implements ModbusConnection {
    private static final int MOST_BYTES = 256;
    private static final int CRC = 2;
    private static final int MOST_PDU = MOST_BYTES - 1 - CRC;
    private static final int SHORTEST_FRAME = 4;
    private static final int REQUEST_FRAME = 8;
    /** How long a foreign frame makes answers doubtful. */
    static final long DISTRUST_NANOS = TimeUnit.SECONDS.toNanos(60);
    /** Through a terminal server a frame comes in pieces that the network spaces as it likes. */
    private static final long LEAST_SILENCE_OVER_TCP = TimeUnit.MILLISECONDS.toNanos(10);

    private static final long LONGEST_BABBLE = TimeUnit.MILLISECONDS.toNanos(500);
    private static final int MOST_BABBLE = 4096;
    private static final int LAST_UNIT = 247;
    /** How fast the slowest answer of a unit is forgotten, a part for each answer. */
    private static final int FORGET = 64;

    private final Wire wire;
    private final Map<Integer, Pauses> pauses;
    private final boolean echo;
    private final long silence;
    private final LineLedger ledger;
    private final byte[] sent = new byte[MOST_BYTES];
    private final byte[] received = new byte[4 * MOST_BYTES];
    /** Units that have not answered their last request yet. */
    private final Set<Integer> owing = new HashSet<>();
    /** By unit and length of the answer: what is on the wires longer comes later. */
    private final Map<Exchange, Long> slowest = new HashMap<>();

    private int filled;
    private long quietSince;
    private int answeredLast;
    private long foreign;
    private long distrustedUntil;
    private boolean foreignHeard;
    private boolean early;
    private long doubtNanos;
    private long answers;
    private volatile boolean closed;

    private record Exchange(int unit, int answerBytes) {}

    /**
     * Silences around what is sent to one unit, in nanoseconds.
     *
     * @param before its request.
     * @param after its answer.
     */
    record Pauses(long before, long after) {
        static final Pauses NONE = new Pauses(0, 0);
    }

    /**
     * @param pauses by unit; a unit without any has the line's own silence.
     */
    RtuConnection(Wire wire, SerialLine line, Map<Integer, Pauses> pauses, LineLedger ledger) {
        this.wire = wire;
        this.pauses = new HashMap<>(pauses);
        this.ledger = ledger;
        echo = line.echo();
        long gap = line.frameGap().toNanos();
        silence = line.way() instanceof SerialLine.Way.Tcp ? Math.max(gap, LEAST_SILENCE_OVER_TCP) : gap;
        quietSince = System.nanoTime();
        ledger.opened();
    }

    /** Opens the port, or connects to the terminal server. */
    static Opening open(SerialLine line, Map<Integer, Pauses> pauses, LineLedger ledger, Duration deadline) {
        if (line.way() instanceof SerialLine.Way.Port port) {
            try {
                return new Opening.Opened(new RtuConnection(SerialWire.open(line, port.path()), line, pauses, ledger));
            } catch (IOException failure) {
                return new Opening.NotOpened(
                        new Outcome.Failed(Fault.PORT_MISSING, String.valueOf(failure.getMessage())));
            }
        }
        if (line.way() instanceof SerialLine.Way.Tcp tcp) {
            return ModbusTcpConnection.open(
                    tcp.host(),
                    tcp.port(),
                    deadline,
                    socket -> new RtuConnection(new SocketWire(socket), line, pauses, ledger));
        }
        throw new IllegalStateException("no way to " + line);
    }

    @Override
    public LineStatus line() {
        return ledger.status();
    }

    @Override
    public long answers() {
        return answers;
    }

    @Override
    public boolean isClosed() {
        return closed;
    }

    @Override
    public long foreignFrames() {
        return foreign;
    }

    @Override
    public boolean isDistrusted() {
        return foreignHeard && System.nanoTime() - distrustedUntil < 0;
    }

    @Override
    public boolean needsQuarantine(Fault fault) {
        return fault == Fault.NO_ANSWER || fault == Fault.ANSWER_TOO_SLOW;
    }

    /** Twice the slowest that the unit has been lately: by then the true answer to the same request has come too. */
    @Override
    public long doubtNanos() {
        return doubtNanos;
    }

    @Override
    public boolean cameEarly() {
        return early;
    }

    @Override
    public void listen() {
        if (closed) {
            return;
        }
        try {
            collectUnasked();
        } catch (IOException lost) {
            close();
        }
    }

    @Override
    public Outcome exchange(int unit, ReadRequest request, Duration within) {
        if (closed) {
            throw new IllegalStateException("the line is closed");
        }
        if (unit < 1 || unit > LAST_UNIT) {
            throw new IllegalArgumentException("unit " + unit + " is not 1 to 247; nothing is ever broadcast");
        }
        Outcome outcome;
        try {
            outcome = sendAndReceive(unit, request, within);
        } catch (IOException failure) {
            close();
            outcome = new Outcome.Failed(lost(), String.valueOf(failure.getMessage()));
        } catch (RuntimeException bug) {
            close();
            throw bug;
        }
        if (outcome instanceof Outcome.Failed failed) {
            ledger.failed(failed.fault());
            if (needsQuarantine(failed.fault())) {
                owing.add(unit);
            }
            recover();
        } else {
            answers++;
            ledger.answered();
        }
        return outcome;
    }

    private Fault lost() {
        return wire instanceof SerialWire ? Fault.PORT_LOST : Fault.CONNECTION_RESET;
    }

    private Outcome sendAndReceive(int unit, ReadRequest request, Duration within) throws IOException {
        Pauses own = pauses.getOrDefault(unit, Pauses.NONE);
        Outcome.Failed busy = waitForSilence(Math.max(silence, own.before()), within);
        if (busy != null) {
            return busy;
        }
        owing.remove(unit);
        int length = frame(unit, request);
        filled = 0;
        ledger.sent();
        wire.write(sent, length);
        long sentAt = System.nanoTime();
        long deadline = sentAt + within.toNanos();
        Outcome outcome = null;
        while (outcome == null) {
            int count = wire.read(received, filled, received.length - filled, deadline);
            if (count < 0) {
                close();
                outcome = failed(filled == 0 ? Fault.CLOSED : Fault.CLOSED_INSIDE_ANSWER, "");
            } else if (count == 0) {
                outcome = noWholeAnswer(length, within);
            } else {
                filled += count;
                quietSince = System.nanoTime();
                outcome = examine(unit, request, length, deadline);
            }
        }
        long took = quietSince - sentAt;
        ledger.busy(Math.max(0, took));
        if (outcome instanceof Outcome.Failed) {
            return outcome;
        }
        if (wire.read(received, filled, received.length - filled, quietSince + silence) > 0) {
            foreign();
            return failed(Fault.MORE_THAN_ONE_ANSWER, "");
        }
        Exchange exchange = new Exchange(unit, filled);
        Long known = slowest.get(exchange);
        early = known != null && took < known / 2;
        doubtNanos = known == null ? within.toNanos() : Math.min(within.toNanos(), 2 * Math.max(known, took) + silence);
        slowest.merge(exchange, took, (before, now) -> Math.max(now, before - before / FORGET));
        answeredLast = unit;
        return outcome;
    }

    private int frame(int unit, ReadRequest request) {
        sent[0] = (byte) unit;
        request.copyPdu(sent, 1);
        int length = 1 + request.pduLength();
        int[] crc = ModbusUtil.calculateCRC(sent, 0, length);
        sent[length] = (byte) crc[0];
        sent[length + 1] = (byte) crc[1];
        return length + CRC;
    }

    /** What the bytes received so far amount to; null while more are needed and nothing is wrong. */
    private @Nullable Outcome examine(int unit, ReadRequest request, int sentLength, long deadline) throws IOException {
        int start = 0;
        if (echo) {
            if (!startsAsSent(Math.min(filled, sentLength))) {
                return failed(Fault.ECHO_DIFFERS, "");
            }
            start = sentLength;
            if (filled <= start) {
                return null;
            }
        }
        if ((received[start] & 0xFF) != unit) {
            return strange(unit, request, start, sentLength, deadline);
        }
        int have = filled - start;
        if (have < SHORTEST_FRAME) {
            return null;
        }
        int length = request.answerLength(received, start + 1, have - 1);
        if (length > MOST_PDU) {
            return failed(Fault.WRONG_LENGTH, length + " bytes");
        }
        int pdu = length == 0 ? MOST_PDU : length;
        Outcome.Failed wrong = request.checkStart(received, start + 1, Math.min(have - 1, pdu), pdu);
        if (wrong != null) {
            return notAsAsked(wrong, start, sentLength, deadline);
        }
        int whole = 1 + length + CRC;
        if (length == 0 || have < whole) {
            return null;
        }
        if (!crcFits(start, whole)) {
            return isOwnEcho(sentLength) ? failed(Fault.OWN_ECHO, "") : failed(Fault.BAD_CRC, "");
        }
        if (have > whole) {
            foreign();
            return failed(Fault.MORE_THAN_ONE_ANSWER, (have - whole) + " bytes more");
        }
        return request.parse(received, start + 1, length);
    }

    private boolean startsAsSent(int count) {
        for (int i = 0; i < count; i++) {
            if (received[i] != sent[i]) {
                return false;
            }
        }
        return true;
    }

    private boolean isOwnEcho(int sentLength) {
        return !echo && filled >= sentLength && startsAsSent(sentLength);
    }

    /** The unit's own number, but not the answer to our request: our echo, somebody's request, a wrong answer or noise. */
    private Outcome notAsAsked(Outcome.Failed wrong, int start, int sentLength, long deadline) throws IOException {
        readToSilence(deadline);
        if (isOwnEcho(sentLength)) {
            return failed(Fault.OWN_ECHO, "");
        }
        if (frameAt(start, filled) == 0) {
            return failed(Fault.BAD_CRC, wrong.detail());
        }
        foreign();
        boolean request = filled - start >= REQUEST_FRAME && crcFits(start, REQUEST_FRAME);
        return request ? failed(Fault.FOREIGN_TRAFFIC, "a request to the same unit") : wrong;
    }

    /** Bytes of somebody else: waits until they end, and finds out whether they are a frame. */
    private @Nullable Outcome strange(int unit, ReadRequest request, int start, int sentLength, long deadline)
            throws IOException {
        readToSilence(deadline);
        int frame = frameAt(start, filled);
        if (frame == 0) {
            return failed(Fault.NOISE, (filled - start) + " bytes");
        }
        int from = received[start] & 0xFF;
        if (owing.remove(from)) {
            ledger.late();
            System.arraycopy(received, start + frame, received, start, filled - start - frame);
            filled -= frame;
            return filled == start ? null : examine(unit, request, sentLength, deadline);
        }
        foreign();
        return failed(Fault.FOREIGN_TRAFFIC, "of unit " + from + ", while unit " + unit + " was asked");
    }

    private void readToSilence(long deadline) throws IOException {
        int count = 1;
        while (count > 0 && filled < received.length) {
            count = wire.read(received, filled, received.length - filled, Math.min(deadline, quietSince + silence));
            if (count > 0) {
                filled += count;
                quietSince = System.nanoTime();
            }
        }
    }

    private Outcome.Failed noWholeAnswer(int sentLength, Duration within) {
        if (filled == 0 || (echo && filled <= sentLength)) {
            return failed(Fault.NO_ANSWER, within.toMillis() + " ms");
        }
        return failed(Fault.ANSWER_TOO_SLOW, filled + " bytes within " + within.toMillis() + " ms");
    }

    /** Length of the shortest frame that begins at {@code start}; 0 where none does. */
    private int frameAt(int start, int end) {
        for (int length = SHORTEST_FRAME; length <= Math.min(end - start, MOST_BYTES); length++) {
            if (crcFits(start, length)) {
                return length;
            }
        }
        return 0;
    }

    private boolean crcFits(int start, int length) {
        int[] crc = ModbusUtil.calculateCRC(received, start, length - CRC);
        return (byte) crc[0] == received[start + length - 2] && (byte) crc[1] == received[start + length - 1];
    }

    /** Keeps the silence before a request, and sorts out what breaks it; null when the line is silent. */
    private Outcome.@Nullable Failed waitForSilence(long gap, Duration within) throws IOException {
        long patience = System.nanoTime() + Math.min(within.toNanos(), LONGEST_BABBLE);
        long after = pauses.getOrDefault(answeredLast, Pauses.NONE).after();
        answeredLast = 0;
        collectUnasked();
        long until = quietSince + Math.max(gap, after);
        while (System.nanoTime() - until < 0) {
            LockSupport.parkNanos(this, until - System.nanoTime());
            if (collectUnasked()) {
                until = quietSince + gap;
                if (System.nanoTime() - patience > 0) {
                    return failed(Fault.LINE_NEVER_SILENT, "");
                }
            }
        }
        return closed ? failed(Fault.CLOSED, "") : null;
    }

    /** Takes in what came without having been asked for, without waiting for it to begin; true if anything did. */
    private boolean collectUnasked() throws IOException {
        filled = 0;
        int count = wire.read(received, 0, received.length, System.nanoTime());
        if (count <= 0) {
            return false;
        }
        filled = count;
        quietSince = System.nanoTime();
        readToSilence(quietSince + LONGEST_BABBLE);
        sortUnasked();
        return true;
    }

    private void sortUnasked() {
        int at = 0;
        while (at < filled) {
            int frame = frameAt(at, filled);
            if (frame == 0) {
                ledger.noise(filled - at);
                return;
            }
            int unit = received[at] & 0xFF;
            if (owing.remove(unit)) {
                ledger.late();
            } else {
                foreign();
            }
            at += frame;
        }
    }

    /** After a failure nothing is sent until the line is silent; a line that never is, is opened anew. */
    private void recover() {
        long patience = System.nanoTime() + LONGEST_BABBLE;
        int dropped = 0;
        try {
            while (!closed) {
                int count = wire.read(received, 0, received.length, System.nanoTime() + silence);
                if (count == 0) {
                    return;
                }
                if (count < 0) {
                    close();
                    return;
                }
                quietSince = System.nanoTime();
                dropped += count;
                ledger.noise(count);
                if (dropped > MOST_BABBLE || System.nanoTime() - patience > 0) {
                    close();
                }
            }
        } catch (IOException lost) {
            close();
        }
    }

    private void foreign() {
        foreign++;
        foreignHeard = true;
        distrustedUntil = System.nanoTime() + DISTRUST_NANOS;
        ledger.foreign();
    }

    private static Outcome.Failed failed(Fault fault, String particulars) {
        return new Outcome.Failed(fault, particulars);
    }

    @Override
    public void close() {
        closed = true;
        ledger.closed();
        wire.close();
    }
}
