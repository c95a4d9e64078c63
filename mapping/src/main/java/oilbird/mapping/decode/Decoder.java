package oilbird.mapping.decode;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.stream.Stream;
import oilbird.mapping.address.Address;
import oilbird.mapping.address.Node;
import oilbird.mapping.address.NodeBlock;
import oilbird.mapping.address.NodeSnapshot;
import oilbird.mapping.address.NodeValue;
import oilbird.mapping.address.RawBlock;
import oilbird.mapping.address.Request;
import oilbird.mapping.map.DeviceClock;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.map.Point;
import oilbird.mapping.map.StatusWord;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.RawAnswer;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.StatusWordValue;
import org.jspecify.annotations.Nullable;

/** Decodes the answered requests of all devices of one type. Immutable; any thread may use it. */
public final class Decoder {
    private final String mapName;
    private final Map<Request, BlockDecoder> blocks = new LinkedHashMap<>();

    /**
     * @param pointItems for each point its place among the values of a snapshot of nodes; empty for cells.
     * @param wordItems the same for each word.
     */
    @SuppressWarnings("ArrayRecordComponent") // never compared
    private record BlockDecoder(
            PointDecoder[] points,
            WordDecoder[] words,
            int[] pointItems,
            int[] wordItems,
            @Nullable ClockDecoder clock) {}

    public Decoder(DeviceMap map) {
        this.mapName = map.name();
        for (Request block : map.requests()) {
            List<Point> points = map.pointsOf(block);
            List<StatusWord> words = map.wordsOf(block);
            blocks.put(
                    block,
                    new BlockDecoder(
                            points.stream().map(PointDecoder::new).toArray(PointDecoder[]::new),
                            words.stream().map(WordDecoder::new).toArray(WordDecoder[]::new),
                            items(block, points.stream().map(Point::address)),
                            items(block, words.stream().map(StatusWord::address)),
                            clock(map.clock(), points)));
        }
    }

    private static int[] items(Request request, Stream<Address> addresses) {
        return request instanceof NodeBlock block
                ? addresses.mapToInt(a -> block.index(((Node) a).name())).toArray()
                : new int[0];
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
        BlockDecoder block = block(raw.block());
        List<Reading> readings = new ArrayList<>(block.points.length + 2 * block.words.length);
        List<Indication> indications = new ArrayList<>(16 * block.words.length);
        List<StatusWordValue> words = new ArrayList<>(block.words.length);
        for (PointDecoder point : block.points) {
            readings.add(point.decode(device, raw, at));
        }
        for (WordDecoder word : block.words) {
            word.decode(device, raw, at, readings, indications, words);
        }
        return judged(device, raw.block(), block, readings, indications, words, at, raw);
    }

    /**
     * Everything that the values of a block's nodes say.
     *
     * @param device device id in the station file.
     * @param snapshot of a block of the map's own plan of nodes.
     * @param at when it came.
     * @throws IllegalArgumentException if the block is not of the map's plan.
     */
    public Decoded decode(String device, NodeSnapshot snapshot, Moment at) {
        BlockDecoder block = block(snapshot.block());
        List<NodeValue> values = snapshot.values();
        List<Reading> readings = new ArrayList<>();
        List<Indication> indications = new ArrayList<>();
        List<StatusWordValue> words = new ArrayList<>();
        for (int i = 0; i < block.points.length; i++) {
            readings.add(block.points[i].decode(device, values.get(block.pointItems[i]), at));
        }
        for (int i = 0; i < block.words.length; i++) {
            block.words[i].decode(device, values.get(block.wordItems[i]), at, readings, indications, words);
        }
        return judged(device, snapshot.block(), block, readings, indications, words, at, snapshot);
    }

    private BlockDecoder block(Request request) {
        BlockDecoder block = blocks.get(request);
        if (block == null) {
            throw new IllegalArgumentException("block " + request.name() + " is not in the plan of map " + mapName);
        }
        return block;
    }

    private static Decoded judged(
            String device,
            Request request,
            BlockDecoder block,
            List<Reading> readings,
            List<Indication> indications,
            List<StatusWordValue> words,
            Moment at,
            RawAnswer raw) {
        for (int i = 0; i < block.points.length; i++) {
            Point.ValidWhen condition = block.points[i].point().validWhen();
            if (condition != null && !holds(condition, words)) {
                readings.set(i, new Reading(readings.get(i).id(), null, null, QualityReason.DECLARED_INVALID, at));
            }
        }
        if (block.clock != null) {
            block.clock.decode(device, at, readings, indications);
        }
        return new Decoded(device, request.name(), readings, indications, words, at, raw);
    }
}
