package oilbird.gateway.command.inspect;

import java.io.PrintStream;
import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.concurrent.locks.LockSupport;
import java.util.function.Function;
import oilbird.mapping.address.Address;
import oilbird.mapping.address.Request;
import oilbird.mapping.map.BitUse;
import oilbird.mapping.map.DeviceClock;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.map.MappedIndication;
import oilbird.mapping.map.Point;
import oilbird.mapping.map.StatusWord;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.StatusWordValue;
import org.jspecify.annotations.Nullable;

/** What a device says now, by its map: readings, and indications bit by bit. */
public final class LiveView {
    private static final Duration EVERY = Duration.ofSeconds(1);

    private final Source source;
    private final DeviceMap map;
    private final PrintStream out;

    /** Asks the device. */
    @FunctionalInterface
    public interface Source {
        Answer ask(Request request);
    }

    /** What came of one request. */
    public sealed interface Answer {
        /**
         * @param where a signal lies, for people.
         * @param raw what came from there, before any meaning is given to it.
         */
        record Told(Decoded decoded, Function<Address, String> where, Function<Address, String> raw)
                implements Answer {}

        /**
         * @param why one line, to be followed by the names of what was not read.
         */
        record NotTold(String why) implements Answer {}
    }

    /**
     * What one signal says.
     *
     * @param name as in the map.
     * @param text one line for people, without the name.
     * @param usable false where there is nothing to compare with a display.
     */
    record Line(String name, String text, boolean usable, boolean verified) {}

    public LiveView(DeviceMap map, Source source, PrintStream out) {
        this.map = map;
        this.source = source;
        this.out = out;
    }

    /**
     * Shows everything once, then what changes.
     *
     * @param time zero for once.
     */
    public int follow(Duration time) {
        long end = System.nanoTime() + time.toNanos();
        Map<String, String> before = new LinkedHashMap<>();
        boolean answered = false;
        while (true) {
            long begun = System.nanoTime();
            Map<String, String> now = new LinkedHashMap<>();
            answered |= read(now);
            now.forEach((key, text) -> {
                if (!text.equals(before.put(key, text))) {
                    out.println(text);
                }
            });
            long next = begun + EVERY.toNanos();
            if (next > end) {
                return answered ? ExitStatus.DONE : ExitStatus.DID_NOT_WORK;
            }
            while (System.nanoTime() < next) {
                LockSupport.parkNanos(this, next - System.nanoTime());
            }
        }
    }

    private boolean read(Map<String, String> lines) {
        boolean answered = false;
        for (Request block : map.requests()) {
            Answer answer = source.ask(block);
            if (answer instanceof Answer.NotTold notTold) {
                lines.put("block " + block.name(), notTold.why() + ": " + names(block));
                continue;
            }
            answered = true;
            Answer.Told told = (Answer.Told) answer;
            Decoded decoded = told.decoded();
            for (Point point : map.pointsOf(block)) {
                lines.put(
                        "reading " + point.name(),
                        String.format(
                                Locale.ROOT,
                                "  %-32s %-18s %-26s %s  %s%s",
                                point.name(),
                                Shown.value(reading(decoded, point.name()), point.unit()),
                                Shown.quality(reading(decoded, point.name())),
                                told.where().apply(point.address()),
                                told.raw().apply(point.address()),
                                point.verified() == null ? "  not verified" : ""));
            }
            clockLine(decoded, lines);
            for (StatusWord word : map.wordsOf(block)) {
                word(word, told, lines);
            }
        }
        return answered;
    }

    private void clockLine(Decoded decoded, Map<String, String> lines) {
        DeviceClock of = map.clock();
        if (of == null
                || decoded.readings().stream().noneMatch(r -> r.id().name().equals(of.reading()))) {
            return;
        }
        Reading difference = reading(decoded, of.reading());
        lines.put(
                "clock",
                "  " + of.reading() + " " + Shown.value(difference, "s") + " " + Shown.quality(difference) + ", "
                        + of.indication() + " " + Shown.words(state(decoded, of.indication())) + " (zone " + of.zone()
                        + ", bound " + of.bound().toSeconds() + " s)");
    }

    private void word(StatusWord word, Answer.Told told, Map<String, String> lines) {
        Decoded decoded = told.decoded();
        StatusWordValue value = decoded.words().stream()
                .filter(w -> w.id().name().equals(word.name()))
                .findFirst()
                .orElse(null);
        if (value == null) {
            lines.put(
                    "word " + word.name(),
                    "  " + word.name() + " tells nothing now  (" + told.where().apply(word.address()) + "  "
                            + told.raw().apply(word.address()) + ")");
            return;
        }
        int digits = Math.max(1, (word.width() + 3) / 4);
        lines.put(
                "word " + word.name(),
                String.format(
                        Locale.ROOT,
                        "  %s = %0" + digits + "X  (%s)",
                        word.name(),
                        value.bits(),
                        told.where().apply(word.address())));
        for (int bit = 0; bit < word.width(); bit++) {
            String said = said(word, bit, value, decoded);
            if (said != null) {
                lines.put(
                        "bit " + word.name() + " " + bit,
                        String.format(
                                Locale.ROOT,
                                "    bit %2d  %d  %s",
                                word.numbering().written(bit, word.width()),
                                value.bits() >>> bit & 1,
                                said));
            }
        }
    }

    /** What one bit says; null for the further bits of a field. */
    private @Nullable String said(StatusWord word, int bit, StatusWordValue value, Decoded decoded) {
        for (BitUse use : word.uses()) {
            if (bit < use.low() || bit > use.high()) {
                continue;
            }
            if (use instanceof BitUse.Flag flag) {
                return String.format(
                        Locale.ROOT,
                        "%-32s %s%s%s",
                        flag.indication(),
                        Shown.words(state(decoded, flag.indication())),
                        flag.inverted() ? " (inverted)" : "",
                        isVerified(flag.indication()) ? "" : "  not verified");
            }
            if (use instanceof BitUse.Field field) {
                return bit == field.low()
                        ? "to " + word.numbering().written(field.high(), word.width()) + ": " + field.name() + " "
                                + Shown.value(reading(decoded, field.name()), "")
                        : null;
            }
            return "spare";
        }
        boolean set = (value.bits() >>> bit & 1) != 0;
        return set ? "not in the map, and set: ask the maker" : "not in the map";
    }

    /** Everything that a local display could confirm, as it is now. */
    List<Line> comparable() {
        List<Line> lines = new ArrayList<>();
        for (Request block : map.requests()) {
            if (!(source.ask(block) instanceof Answer.Told told)) {
                out.println("not read now: " + names(block));
                continue;
            }
            Decoded decoded = told.decoded();
            for (Point point : map.pointsOf(block)) {
                Reading reading = reading(decoded, point.name());
                lines.add(new Line(
                        point.name(),
                        point.text() + " is " + Shown.value(reading, point.unit()) + " (" + Shown.quality(reading)
                                + ")",
                        reading.number() != null || reading.text() != null,
                        point.verified() != null));
            }
            for (MappedIndication indication : map.indications()) {
                if (map.wordsOf(block).stream().anyMatch(w -> w.name().equals(indication.word()))) {
                    IndicationState state = state(decoded, indication.name());
                    lines.add(new Line(
                            indication.name(),
                            "\"" + indication.text() + "\" " + Shown.words(state),
                            state != IndicationState.CANNOT_BE_TOLD,
                            indication.verified() != null));
                }
            }
        }
        return lines;
    }

    private boolean isVerified(String indication) {
        return map.indication(indication).map(MappedIndication::verified).isPresent();
    }

    private String names(Request block) {
        List<String> names = new ArrayList<>(map.readingsOf(block));
        names.addAll(map.indicationsOf(block));
        return String.join(", ", names);
    }

    private static Reading reading(Decoded decoded, String name) {
        return decoded.readings().stream()
                .filter(r -> r.id().name().equals(name))
                .findFirst()
                .orElseThrow();
    }

    private static IndicationState state(Decoded decoded, String name) {
        return decoded.indications().stream()
                .filter(i -> i.id().name().equals(name))
                .map(Indication::state)
                .findFirst()
                .orElseThrow();
    }
}
