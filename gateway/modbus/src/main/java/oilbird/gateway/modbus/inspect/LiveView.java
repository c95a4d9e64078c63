package oilbird.gateway.modbus.inspect;

import java.io.PrintStream;
import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.concurrent.locks.LockSupport;
import oilbird.gateway.command.inspect.Shown;
import oilbird.gateway.command.inspect.LiveSignals;
import oilbird.gateway.command.inspect.ExitStatus;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.clock.SystemGatewayClock;
import oilbird.gateway.engine.clock.WallTrust;
import oilbird.mapping.address.RawBlock;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.decode.Decoder;
import oilbird.mapping.map.BitUse;
import oilbird.mapping.map.DeviceClock;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.map.MappedIndication;
import oilbird.mapping.map.Point;
import oilbird.mapping.map.ReadEffect;
import oilbird.mapping.map.StatusWord;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.StatusWordValue;
import org.jspecify.annotations.Nullable;

/** What a device says now, by its map: readings, and indications bit by bit. */
final class LiveView implements LiveSignals {
    private static final Duration EVERY = Duration.ofSeconds(1);

    private final DeviceProbe probe;
    private final DeviceMap map;
    private final Decoder decoder;
    private final PrintStream out;
    private final GatewayClock clock = new SystemGatewayClock(1, WallTrust.ordinary());

    LiveView(DeviceProbe probe, DeviceMap map, PrintStream out) {
        this.probe = probe;
        this.map = map;
        this.decoder = new Decoder(map);
        this.out = out;
    }

    /**
     * Shows everything once, then what changes.
     *
     * @param time zero for once.
     */
    int follow(Duration time) {
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
        for (ReadBlock block : map.readPlan()) {
            ReadEffect effect = map.effectOf(block).orElse(null);
            if (effect != null) {
                lines.put(
                        "block " + block.name(),
                        "not read, since reading has an effect (" + effect.text() + "): " + names(block));
                continue;
            }
            DeviceProbe.Piece piece = probe.read(block);
            RawBlock raw = piece.cells();
            if (raw == null) {
                lines.put(
                        "block " + block.name(),
                        ShownCells.place(piece.place()) + " cannot be read: " + piece.why() + ": " + names(block));
                continue;
            }
            answered = true;
            Decoded decoded = decoder.decode(map.name(), raw, clock.now());
            for (Point point : map.pointsOf(block)) {
                lines.put(
                        "reading " + point.name(),
                        String.format(
                                Locale.ROOT,
                                "  %-32s %-18s %-26s %s  %s%s",
                                point.name(),
                                Shown.value(reading(decoded, point.name()), point.unit()),
                                Shown.quality(reading(decoded, point.name())),
                                ShownCells.place(point.place()),
                                ShownCells.raw(raw, point.place()),
                                point.verified() == null ? "  not verified" : ""));
            }
            clockLine(decoded, lines);
            for (StatusWord word : map.wordsOf(block)) {
                word(word, decoded, lines);
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

    private void word(StatusWord word, Decoded decoded, Map<String, String> lines) {
        StatusWordValue value = decoded.words().stream()
                .filter(w -> w.id().name().equals(word.name()))
                .findFirst()
                .orElseThrow();
        int digits = Math.max(1, (word.width() + 3) / 4);
        lines.put(
                "word " + word.name(),
                String.format(
                        Locale.ROOT,
                        "  %s = %0" + digits + "X  (%s)",
                        word.name(),
                        value.bits(),
                        ShownCells.place(word.place())));
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
    @Override
    public List<Line> comparable() {
        List<Line> lines = new ArrayList<>();
        for (ReadBlock block : map.readPlan()) {
            RawBlock raw =
                    map.effectOf(block).isPresent() ? null : probe.read(block).cells();
            if (raw == null) {
                out.println("not read now: " + names(block));
                continue;
            }
            Decoded decoded = decoder.decode(map.name(), raw, clock.now());
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

    private String names(ReadBlock block) {
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
