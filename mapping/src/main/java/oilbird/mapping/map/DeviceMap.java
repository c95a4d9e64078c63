package oilbird.mapping.map;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import oilbird.mapping.address.Address;
import oilbird.mapping.address.Node;
import oilbird.mapping.address.NodeBlock;
import oilbird.mapping.address.Place;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.address.Request;
import oilbird.mapping.signal.Feature;
import org.jspecify.annotations.Nullable;

/**
 * What one type of monitor says on the wire: points, status words, bits, and what each bit means.
 *
 * @param name of the type, as station files refer to it.
 * @param text what kind of device it is, in plain words.
 * @param identification null where the device cannot identify itself.
 * @param pollClasses name to default period, in file order; the first is the default of points.
 * @param points in file order.
 * @param words in file order.
 * @param indications in file order.
 * @param clock null where the device's clock is not compared.
 * @param readEffects ranges that a tool never reads.
 * @param readPlan the requests that fetch everything from a Modbus device, in the order of table and address; empty
 *     for an OPC UA server.
 * @param nodes how everything is fetched from an OPC UA server; null for a Modbus device.
 * @param features what is looked for in readings; each makes one of the indications.
 */
public record DeviceMap(
        String name,
        String text,
        @Nullable Identification identification,
        Map<String, Duration> pollClasses,
        List<Point> points,
        List<StatusWord> words,
        List<MappedIndication> indications,
        @Nullable DeviceClock clock,
        List<ReadEffect> readEffects,
        List<ReadBlock> readPlan,
        @Nullable NodePlan nodes,
        List<Feature> features) {
    public DeviceMap {
        pollClasses = Collections.unmodifiableMap(new LinkedHashMap<>(pollClasses));
        points = List.copyOf(points);
        words = List.copyOf(words);
        indications = List.copyOf(indications);
        readEffects = List.copyOf(readEffects);
        readPlan = List.copyOf(readPlan);
        features = List.copyOf(features);
    }

    /** The same map with every point and indication verified so; null for not at all. */
    public DeviceMap verifiedBy(@Nullable Verification verification) {
        return new DeviceMap(
                name,
                text,
                identification,
                pollClasses,
                points.stream().map(p -> p.verifiedBy(verification)).toList(),
                words,
                indications.stream().map(i -> i.verifiedBy(verification)).toList(),
                clock,
                readEffects,
                readPlan,
                nodes,
                features);
    }

    /** What fetches everything from an OPC UA server; empty for a Modbus device. */
    public List<NodeBlock> nodePlan() {
        return nodes == null ? List.of() : nodes.blocks();
    }

    /** What fetches everything, whatever the protocol. */
    public List<Request> requests() {
        List<Request> requests = new ArrayList<>(readPlan);
        requests.addAll(nodePlan());
        return List.copyOf(requests);
    }

    /** The range of {@link #readEffects} that a request would touch, if any. */
    public Optional<ReadEffect> effectOf(ReadBlock block) {
        Place asked = new Place(block.table(), block.start(), block.count());
        return readEffects.stream().filter(e -> e.place().overlaps(asked)).findFirst();
    }

    public Optional<Point> point(String pointName) {
        return points.stream().filter(p -> p.name().equals(pointName)).findFirst();
    }

    public Optional<MappedIndication> indication(String indicationName) {
        return indications.stream().filter(i -> i.name().equals(indicationName)).findFirst();
    }

    /** The points that a block delivers. Each point is delivered by exactly one block of the plan. */
    public List<Point> pointsOf(Request block) {
        return points.stream()
                .filter(p -> delivers(block, p.address(), p.pollClass()))
                .toList();
    }

    /** The status words that a block delivers. Each word is delivered by exactly one block of the plan. */
    public List<StatusWord> wordsOf(Request block) {
        return words.stream()
                .filter(w -> delivers(block, w.address(), w.pollClass()))
                .toList();
    }

    /** Names of the readings that a block delivers: those of points, of the fields in status words, and of the clock. */
    public List<String> readingsOf(Request block) {
        List<String> names = new ArrayList<>();
        pointsOf(block).forEach(p -> names.add(p.name()));
        wordsOf(block).forEach(w -> w.fields().forEach(f -> names.add(f.name())));
        if (clock != null && names.contains(clock.point())) {
            names.add(clock.reading());
        }
        return List.copyOf(names);
    }

    /** Names of the indications that a block tells. */
    public List<String> indicationsOf(Request block) {
        List<String> tellers = new ArrayList<>();
        wordsOf(block).forEach(w -> tellers.add(w.name()));
        pointsOf(block).forEach(p -> tellers.add(p.name()));
        return indications.stream()
                .filter(i -> tellers.contains(i.word()))
                .map(MappedIndication::name)
                .toList();
    }

    private static boolean delivers(Request request, Address address, String pollClass) {
        if (!request.pollClass().equals(pollClass)) {
            return false;
        }
        if (request instanceof ReadBlock block && address instanceof Place place) {
            return block.covers(place.table(), place.start(), place.cells());
        }
        return request instanceof NodeBlock block
                && address instanceof Node node
                && block.subscribed() == node.subscribed();
    }
}
