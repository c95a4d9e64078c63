package oilbird.mapping.map;

import java.time.Duration;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.stream.Stream;
import oilbird.mapping.address.Place;
import oilbird.mapping.address.ReadBlock;
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
 * @param readPlan the requests that fetch everything, in the order of table and address.
 */
public record DeviceMap(
        String name,
        String text,
        @Nullable Identification identification,
        Map<String, Duration> pollClasses,
        List<Point> points,
        List<StatusWord> words,
        List<MappedIndication> indications,
        List<ReadBlock> readPlan) {
    public DeviceMap {
        pollClasses = Collections.unmodifiableMap(new LinkedHashMap<>(pollClasses));
        points = List.copyOf(points);
        words = List.copyOf(words);
        indications = List.copyOf(indications);
        readPlan = List.copyOf(readPlan);
    }

    public Optional<Point> point(String pointName) {
        return points.stream().filter(p -> p.name().equals(pointName)).findFirst();
    }

    public Optional<MappedIndication> indication(String indicationName) {
        return indications.stream().filter(i -> i.name().equals(indicationName)).findFirst();
    }

    /** The points that a block delivers. Each point is delivered by exactly one block of the plan. */
    public List<Point> pointsOf(ReadBlock block) {
        return points.stream()
                .filter(p -> delivers(block, p.place(), p.pollClass()))
                .toList();
    }

    /** The status words that a block delivers. Each word is delivered by exactly one block of the plan. */
    public List<StatusWord> wordsOf(ReadBlock block) {
        return words.stream()
                .filter(w -> delivers(block, w.place(), w.pollClass()))
                .toList();
    }

    /** Names of the readings that a block delivers: those of points and of the fields in status words. */
    public List<String> readingsOf(ReadBlock block) {
        return Stream.concat(
                        pointsOf(block).stream().map(Point::name),
                        wordsOf(block).stream()
                                .flatMap(w -> w.fields().stream())
                                .map(BitUse.Field::name))
                .toList();
    }

    /** Names of the indications that a block tells. */
    public List<String> indicationsOf(ReadBlock block) {
        List<String> names = wordsOf(block).stream().map(StatusWord::name).toList();
        return indications.stream()
                .filter(i -> names.contains(i.word()))
                .map(MappedIndication::name)
                .toList();
    }

    private static boolean delivers(ReadBlock block, Place place, String pollClass) {
        return block.pollClass().equals(pollClass) && block.covers(place.table(), place.start(), place.cells());
    }
}
