package oilbird.mapping.address;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.TreeMap;

/**
 * Joins the places that somebody wants read into the fewest requests, and among the plans with as few
 * requests into the one that reads the fewest cells.
 *
 * <p>A request never tears a value, never mixes poll classes, and never leaves the limits. It reads
 * across a cell that nobody wants only where the limits allow it.
 */
public final class ReadPlanner {
    private ReadPlanner() {}

    /** A value to be read whole by one request of its poll class. */
    public record Wanted(Place place, String pollClass) {}

    /**
     * What the device accepts.
     *
     * @param maxRegisters most registers in one request, 1 to 125.
     * @param maxBits most coils or discrete inputs in one request, 1 to 2000.
     * @param acrossGaps whether a request may read cells that nobody described.
     * @param neverAcross ranges that no request may touch except where a wanted place lies in them.
     */
    public record Limits(int maxRegisters, int maxBits, boolean acrossGaps, List<Place> neverAcross) {
        public static final Limits PROTOCOL = new Limits(125, 2000, false, List.of());

        public Limits {
            neverAcross = List.copyOf(neverAcross);
        }

        int most(ModbusTable table) {
            return Math.min(table.maxQuantity(), table.bits() ? maxBits : maxRegisters);
        }
    }

    /**
     * The plan: the requests set by hand first, then the computed ones by table, class and address.
     *
     * @param wanted places that do not overlap each other and each fit one request.
     * @param byHand requests that are kept as they are; a wanted place of the same class inside one of
     *     them is read by it.
     */
    public static List<ReadBlock> plan(List<Wanted> wanted, Limits limits, List<ReadBlock> byHand) {
        List<ReadBlock> plan = new ArrayList<>(byHand);
        Map<ModbusTable, Map<String, List<Place>>> open = new TreeMap<>();
        for (Wanted want : wanted) {
            if (byHand.stream().noneMatch(block -> delivers(block, want))) {
                open.computeIfAbsent(want.place().table(), t -> new LinkedHashMap<>())
                        .computeIfAbsent(want.pollClass(), c -> new ArrayList<>())
                        .add(want.place());
            }
        }
        open.forEach((table, byClass) -> byClass.forEach((pollClass, places) -> {
            places.sort(Comparator.comparingInt(Place::start));
            boolean[] crossable = crossable(places, wanted, limits, byHand, pollClass);
            for (Place block : join(places, crossable, limits.most(table))) {
                String name =
                        pollClass + "." + table.name().toLowerCase(Locale.ROOT).replace('_', '-') + "." + block.start();
                plan.add(new ReadBlock(name, table, block.start(), block.cells(), pollClass));
            }
        }));
        return List.copyOf(plan);
    }

    private static boolean delivers(ReadBlock block, Wanted want) {
        Place place = want.place();
        return block.pollClass().equals(want.pollClass()) && block.covers(place.table(), place.start(), place.cells());
    }

    /** For each place but the first: whether a request may go on from the one before. */
    private static boolean[] crossable(
            List<Place> places, List<Wanted> wanted, Limits limits, List<ReadBlock> byHand, String pollClass) {
        boolean[] crossable = new boolean[places.size()];
        for (int i = 1; i < places.size(); i++) {
            int from = places.get(i - 1).end();
            int to = places.get(i).start();
            if (from == to) {
                crossable[i] = true;
                continue;
            }
            Place gap = new Place(places.get(i).table(), from, to - from);
            // What a hand-set request delivers must not be delivered twice.
            crossable[i] = mayCross(gap, wanted, limits)
                    && byHand.stream()
                            .noneMatch(block -> block.pollClass().equals(pollClass)
                                    && new Place(block.table(), block.start(), block.count()).overlaps(gap));
        }
        return crossable;
    }

    private static boolean mayCross(Place gap, List<Wanted> wanted, Limits limits) {
        if (limits.neverAcross().stream().anyMatch(gap::overlaps)) {
            return false;
        }
        if (limits.acrossGaps()) {
            return true;
        }
        // A cell that another class reads is known to be readable.
        int described = 0;
        for (Wanted want : wanted) {
            if (want.place().overlaps(gap)) {
                described += Math.min(want.place().end(), gap.end())
                        - Math.max(want.place().start(), gap.start());
            }
        }
        return described == gap.cells();
    }

    /** Least requests, then least cells, over all ways to cut the sorted places into runs. */
    private static List<Place> join(List<Place> places, boolean[] crossable, int most) {
        int count = places.size();
        int[] requests = new int[count + 1];
        long[] cells = new long[count + 1];
        int[] cutBefore = new int[count + 1];
        for (int end = 1; end <= count; end++) {
            requests[end] = Integer.MAX_VALUE;
            for (int begin = end - 1; begin >= 0; begin--) {
                int length = places.get(end - 1).end() - places.get(begin).start();
                if (length > most) {
                    break;
                }
                int needed = requests[begin] + 1;
                long read = cells[begin] + length;
                if (needed < requests[end] || (needed == requests[end] && read < cells[end])) {
                    requests[end] = needed;
                    cells[end] = read;
                    cutBefore[end] = begin;
                }
                if (!crossable[begin]) {
                    break;
                }
            }
            if (requests[end] == Integer.MAX_VALUE) {
                throw new IllegalArgumentException(places.get(end - 1) + " does not fit one request of " + most);
            }
        }
        List<Place> joined = new ArrayList<>();
        for (int end = count; end > 0; end = cutBefore[end]) {
            Place first = places.get(cutBefore[end]);
            joined.add(
                    0,
                    new Place(first.table(), first.start(), places.get(end - 1).end() - first.start()));
        }
        return joined;
    }
}
