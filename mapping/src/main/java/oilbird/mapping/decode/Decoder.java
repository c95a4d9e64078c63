package oilbird.mapping.decode;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.mapping.address.RawBlock;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.map.DeviceClock;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.map.Point;
import oilbird.mapping.map.StatusWord;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.StatusWordValue;
import org.jspecify.annotations.Nullable;

/** Decodes the answered requests of all devices of one type. Immutable; any thread may use it. */
public final class Decoder {
    private final String mapName;
    private final Map<ReadBlock, BlockDecoder> blocks = new LinkedHashMap<>();

    private record BlockDecoder(
            PointDecoder[] points,
            WordDecoder[] words,
            @Nullable ClockDecoder clock) {}

    public Decoder(DeviceMap map) {
        this.mapName = map.name();
        for (ReadBlock block : map.readPlan()) {
            List<Point> points = map.pointsOf(block);
            List<StatusWord> words = map.wordsOf(block);
            blocks.put(
                    block,
                    new BlockDecoder(
                            points.stream().map(PointDecoder::new).toArray(PointDecoder[]::new),
                            words.stream().map(WordDecoder::new).toArray(WordDecoder[]::new),
                            clock(map.clock(), points)));
        }
    }

    private static @Nullable ClockDecoder clock(@Nullable DeviceClock clock, List<Point> points) {
        return clock != null && points.stream().anyMatch(p -> p.name().equals(clock.point()))
                ? new ClockDecoder(clock)
                : null;
    }

    private static boolean holds(Point.ValidWhen condition, List<StatusWordValue> words) {
        for (StatusWordValue word : words) {
            if (word.id().name().equals(condition.word())) {
                return (word.bits() >>> condition.bit() & 1) == (condition.set() ? 1 : 0);
            }
        }
        return false;
    }

    /**
     * Everything that the answer says.
     *
     * @param device device id in the station file.
     * @param raw the answer to a block of the map's own read plan.
     * @param at when it came.
     * @throws IllegalArgumentException if the block is not of the map's plan.
     */
    public Decoded decode(String device, RawBlock raw, Moment at) {
        BlockDecoder block = blocks.get(raw.block());
        if (block == null) {
            throw new IllegalArgumentException(
                    "block " + raw.block().name() + " is not in the read plan of map " + mapName);
        }
        List<Reading> readings = new ArrayList<>(block.points.length + 2 * block.words.length);
        List<Indication> indications = new ArrayList<>(16 * block.words.length);
        List<StatusWordValue> words = new ArrayList<>(block.words.length);
        for (PointDecoder point : block.points) {
            readings.add(point.decode(device, raw, at));
        }
        for (WordDecoder word : block.words) {
            word.decode(device, raw, at, readings, indications, words);
        }
        for (int i = 0; i < block.points.length; i++) {
            Point.ValidWhen condition = block.points[i].point().validWhen();
            if (condition != null && !holds(condition, words)) {
                readings.set(i, new Reading(readings.get(i).id(), null, null, QualityReason.DECLARED_INVALID, at));
            }
        }
        if (block.clock != null) {
            block.clock.decode(device, at, readings, indications);
        }
        return new Decoded(device, raw.block().name(), readings, indications, words, at);
    }
}
