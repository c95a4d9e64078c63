package oilbird.gateway.modbus.inspect;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import java.util.function.Function;
import oilbird.gateway.modbus.Fault;
import oilbird.gateway.modbus.FoundIdentification;
import oilbird.gateway.modbus.LineStatus;
import oilbird.gateway.modbus.ModbusConnection;
import oilbird.gateway.modbus.ModbusTcpConnection;
import oilbird.gateway.modbus.Outcome;
import oilbird.gateway.modbus.ReadRequest;
import oilbird.gateway.station.SerialLine;
import oilbird.mapping.address.Place;
import oilbird.mapping.address.RawBlock;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.map.ReadEffect;
import org.jspecify.annotations.Nullable;

/** One device, asked by hand. */
final class DeviceProbe implements AutoCloseable {
    private static final int MOST_IDENTIFICATION_REQUESTS = 32;
    /** A range that the device refuses in part is halved; this many requests are enough for a look. */
    private static final int MOST_REQUESTS = 64;

    private final String name;
    private final Function<Duration, ModbusConnection.Opening> opener;
    private final int unit;
    private final Duration deadline;
    private @Nullable ModbusConnection connection;

    /**
     * Cells that were, or were not, read by one request.
     *
     * @param cells null where they were not.
     * @param why they were not; empty otherwise.
     */
    record Piece(Place place, @Nullable RawBlock cells, String why) {}

    /**
     * What the device says of itself.
     *
     * @param found null where it says nothing.
     * @param why it says nothing; empty otherwise.
     * @param answers false where the device cannot be reached at all.
     */
    record Identity(@Nullable FoundIdentification found, String why, boolean answers) {}

    private DeviceProbe(String name, Function<Duration, ModbusConnection.Opening> opener, int unit, Duration deadline) {
        this.name = name;
        this.opener = opener;
        this.unit = unit;
        this.deadline = deadline;
    }

    /** A device on Modbus TCP. */
    DeviceProbe(String host, int port, int unit, Duration deadline) {
        this(host + ":" + port, within -> ModbusTcpConnection.open(host, port, within), unit, deadline);
    }

    /** A unit on a serial line. */
    DeviceProbe(SerialLine line, int unit, Duration deadline) {
        this(line.way().written(), within -> ModbusConnection.open(line, within), unit, deadline);
    }

    @Override
    public String toString() {
        return name + " unit " + unit;
    }

    /** How the serial line has done since it was opened last; empty where there is none. */
    String lineInWords() {
        LineStatus line = connection == null ? null : connection.line();
        if (line == null) {
            return "";
        }
        LineStatus.Counts counts = line.counts();
        StringBuilder words = new StringBuilder("line: ")
                .append(counts.requests())
                .append(" requests, ")
                .append(counts.answers())
                .append(" answers");
        counts.faults()
                .forEach((fault, count) ->
                        words.append("; ").append(fault.words()).append(": ").append(count));
        if (counts.noiseBytes() > 0) {
            words.append("; bytes that are no frame: ").append(counts.noiseBytes());
        }
        if (counts.foreignFrames() > 0) {
            words.append("; frames of somebody else: ").append(counts.foreignFrames());
        }
        if (counts.lateAnswers() > 0) {
            words.append("; answers after their deadline: ").append(counts.lateAnswers());
        }
        return words.toString();
    }

    Outcome ask(ReadRequest request) {
        ModbusConnection open = connection;
        if (open == null || open.isClosed()) {
            ModbusConnection.Opening opening = opener.apply(deadline);
            if (opening instanceof ModbusConnection.Opening.NotOpened notOpened) {
                return notOpened.failure();
            }
            if (!(opening instanceof ModbusConnection.Opening.Opened opened)) {
                throw new IllegalStateException("neither opened nor not: " + opening);
            }
            open = opened.connection();
            connection = open;
        }
        return open.exchange(unit, request, deadline);
    }

    /** Function 43/14, whose answer may come in parts. */
    Identity identify() {
        Map<Integer, String> objects = new TreeMap<>();
        int next = 0;
        for (int i = 0; i < MOST_IDENTIFICATION_REQUESTS; i++) {
            Outcome outcome = ask(new ReadRequest.DeviceIdentification(next));
            if (outcome instanceof Outcome.Refused refused) {
                return new Identity(null, refused.detail(), true);
            }
            if (outcome instanceof Outcome.Failed failed) {
                // Some devices do not answer at all to a function that they do not know.
                return new Identity(null, failed.detail(), isConnected(failed.fault()));
            }
            if (!(outcome instanceof Outcome.Objects part)) {
                throw new IllegalStateException("an identification was asked for, not " + outcome);
            }
            objects.putAll(part.objects());
            if (!part.moreFollows() || part.nextObject() <= next) {
                break;
            }
            next = part.nextObject();
        }
        return new Identity(new FoundIdentification(objects), "", true);
    }

    private static boolean isConnected(Fault fault) {
        return switch (fault) {
            case HOST_UNKNOWN, CONNECTION_REFUSED, CONNECT_TIMEOUT, CONNECT_FAILED, PORT_MISSING -> false;
            default -> true;
        };
    }

    /** One request of a map's plan. */
    Piece read(ReadBlock block) {
        Place place = new Place(block.table(), block.start(), block.count());
        Outcome outcome = ask(new ReadRequest.Cells(block));
        if (outcome instanceof Outcome.Cells cells) {
            return new Piece(place, new RawBlock(block, cells.values()), "");
        }
        return new Piece(place, null, detail(outcome));
    }

    /**
     * A range, in as few requests as it takes; what the device refuses is narrowed down.
     *
     * @param most cells in one request.
     * @param effects ranges that are left out.
     */
    List<Piece> read(Place range, int most, List<ReadEffect> effects) {
        List<Piece> pieces = new ArrayList<>();
        int[] requests = new int[1];
        int at = range.start();
        while (at < range.end()) {
            int from = at;
            Optional<ReadEffect> effect = effects.stream()
                    .filter(e -> e.place().overlaps(new Place(range.table(), from, 1)))
                    .findFirst();
            if (effect.isPresent()) {
                int to = Math.min(range.end(), effect.get().place().end());
                pieces.add(new Piece(
                        new Place(range.table(), from, to - from),
                        null,
                        "not read, since reading has an effect: " + effect.get().text()));
                at = to;
                continue;
            }
            int end = Math.min(range.end(), from + most);
            for (ReadEffect other : effects) {
                Place place = other.place();
                if (place.table() == range.table() && place.start() > from) {
                    end = Math.min(end, place.start());
                }
            }
            narrow(new Place(range.table(), from, end - from), pieces, requests);
            at = end;
        }
        return pieces;
    }

    private void narrow(Place place, List<Piece> pieces, int[] requests) {
        if (requests[0] >= MOST_REQUESTS) {
            pieces.add(new Piece(place, null, "not read, since " + MOST_REQUESTS + " requests were sent already"));
            return;
        }
        requests[0]++;
        ReadBlock block = new ReadBlock("inspect", place.table(), place.start(), place.cells(), "");
        Outcome outcome = ask(new ReadRequest.Cells(block));
        if (outcome instanceof Outcome.Cells cells) {
            pieces.add(new Piece(place, new RawBlock(block, cells.values()), ""));
        } else if (outcome instanceof Outcome.Refused && place.cells() > 1) {
            int half = place.cells() / 2;
            narrow(new Place(place.table(), place.start(), half), pieces, requests);
            narrow(new Place(place.table(), place.start() + half, place.cells() - half), pieces, requests);
        } else {
            pieces.add(new Piece(place, null, detail(outcome)));
        }
    }

    private static String detail(Outcome outcome) {
        if (outcome instanceof Outcome.Refused refused) {
            return refused.detail();
        }
        return outcome instanceof Outcome.Failed failed ? failed.detail() : outcome.toString();
    }

    @Override
    public void close() {
        ModbusConnection open = connection;
        if (open != null) {
            open.close();
        }
    }
}
