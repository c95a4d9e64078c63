package oilbird.mapping.address;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import oilbird.mapping.address.ReadPlanner.Limits;
import oilbird.mapping.address.ReadPlanner.Wanted;
import org.junit.jupiter.api.Test;

class ReadPlannerTest {
    private static Wanted register(int start, int cells) {
        return new Wanted(new Place(ModbusTable.HOLDING_REGISTERS, start, cells), "fast");
    }

    private static List<String> plan(List<Wanted> wanted, Limits limits, ReadBlock... byHand) {
        return ReadPlanner.plan(wanted, limits, List.of(byHand)).stream()
                .map(b -> b.pollClass() + " " + b.start() + "+" + b.count())
                .toList();
    }

    @Test
    void neighboursAreReadTogether() {
        assertThat(plan(List.of(register(4, 2), register(0, 4)), Limits.PROTOCOL))
                .containsExactly("fast 0+6");
    }

    @Test
    void aGapIsNotReadAcrossUnlessTheLimitsAllowIt() {
        List<Wanted> wanted = List.of(register(0, 2), register(3, 1));
        assertThat(plan(wanted, Limits.PROTOCOL)).containsExactly("fast 0+2", "fast 3+1");
        assertThat(plan(wanted, new Limits(125, 2000, true, List.of()))).containsExactly("fast 0+4");
        assertThat(plan(wanted, new Limits(125, 2000, true, List.of(new Place(ModbusTable.HOLDING_REGISTERS, 2, 1)))))
                .containsExactly("fast 0+2", "fast 3+1");
        assertThat(plan(wanted, new Limits(125, 2000, true, List.of(new Place(ModbusTable.INPUT_REGISTERS, 2, 1)))))
                .containsExactly("fast 0+4");
    }

    @Test
    void aGapThatAnotherPollClassReadsIsKnownToBeReadable() {
        Wanted slow = new Wanted(new Place(ModbusTable.HOLDING_REGISTERS, 2, 1), "slow");
        assertThat(plan(List.of(register(0, 2), slow, register(3, 1)), Limits.PROTOCOL))
                .containsExactly("fast 0+4", "slow 2+1");
        assertThat(plan(
                        List.of(register(0, 2), slow, register(3, 1)),
                        new Limits(125, 2000, true, List.of(slow.place()))))
                .as("its reading has an effect: only its own request may touch it")
                .containsExactly("fast 0+2", "fast 3+1", "slow 2+1");
    }

    @Test
    void aValueIsNeverTornAtTheLimit() {
        List<Wanted> wanted = new ArrayList<>();
        for (int i = 0; i < 63; i++) {
            wanted.add(register(2 * i, 2));
        }
        assertThat(plan(wanted, Limits.PROTOCOL)).containsExactly("fast 0+124", "fast 124+2");
        assertThatThrownBy(() -> plan(List.of(register(0, 4)), new Limits(3, 2000, true, List.of())))
                .isInstanceOf(IllegalArgumentException.class);
    }

    @Test
    void withAsFewRequestsTheFewestCellsAreRead() {
        // Two requests either way; cutting at the large gap reads fewer cells.
        assertThat(plan(
                        List.of(register(0, 1), register(2, 1), register(30, 1), register(31, 1)),
                        new Limits(31, 2000, true, List.of())))
                .containsExactly("fast 0+3", "fast 30+2");
    }

    @Test
    void aRequestSetByHandIsKeptAndWhatItReadsIsNotReadAgain() {
        ReadBlock hand = new ReadBlock("all", ModbusTable.HOLDING_REGISTERS, 0, 10, "fast");
        assertThat(plan(
                        List.of(register(0, 2), register(8, 2), register(10, 2), register(20, 1)),
                        new Limits(125, 2000, true, List.of()),
                        hand))
                .containsExactly("fast 0+10", "fast 10+11");
        assertThat(plan(
                        List.of(register(0, 2), register(4, 1), register(8, 2)),
                        new Limits(125, 2000, true, List.of()),
                        new ReadBlock("middle", ModbusTable.HOLDING_REGISTERS, 4, 1, "fast")))
                .as("a computed request must not deliver the middle a second time")
                .containsExactly("fast 4+1", "fast 0+2", "fast 8+2");
    }

    @Test
    void thePlanIsAsShortAsTheBestFoundByTryingEveryGrouping() {
        long seed = 60_125_2000;
        Random random = new Random(seed);
        int joined = 0;
        int byHand = 0;
        for (int run = 0; run < 700; run++) {
            boolean bits = random.nextInt(3) == 0;
            ModbusTable main = bits ? ModbusTable.DISCRETE_INPUTS : ModbusTable.HOLDING_REGISTERS;
            List<Wanted> wanted = new ArrayList<>();
            int points = 1 + random.nextInt(8);
            int address = random.nextInt(4);
            for (int i = 0; i < points; i++) {
                int cells = 1 + random.nextInt(4);
                wanted.add(new Wanted(
                        new Place(
                                random.nextInt(5) == 0 ? bits ? ModbusTable.COILS : ModbusTable.INPUT_REGISTERS : main,
                                address,
                                cells),
                        random.nextInt(4) == 0 ? "slow" : "fast"));
                address += cells + (random.nextBoolean() ? 0 : random.nextInt(4));
            }
            List<Place> never = new ArrayList<>();
            for (int i = random.nextInt(3); i > 0; i--) {
                never.add(new Place(main, random.nextInt(20), 1 + random.nextInt(2)));
            }
            int most = 4 + random.nextInt(20);
            Limits limits = new Limits(bits ? 125 : most, bits ? most : 2000, random.nextBoolean(), never);
            List<ReadBlock> hand = new ArrayList<>();
            if (random.nextInt(3) == 0) {
                Wanted one = wanted.get(random.nextInt(wanted.size()));
                hand.add(new ReadBlock(
                        "hand",
                        one.place().table(),
                        one.place().start(),
                        one.place().cells(),
                        one.pollClass()));
                byHand++;
            }
            List<Wanted> open = wanted.stream()
                    .filter(w -> hand.stream().noneMatch(b -> delivers(b, w)))
                    .toList();
            List<ReadBlock> plan = ReadPlanner.plan(wanted, limits, hand);
            String shown = "seed " + seed + " run " + run + " " + wanted + " " + limits + " " + hand + " " + plan;
            assertThat(plan).as(shown).containsAll(hand);
            for (Wanted want : wanted) {
                assertThat(plan.stream().filter(b -> delivers(b, want)).count())
                        .as(shown)
                        .isEqualTo(1);
            }
            for (ReadBlock block : plan) {
                List<Wanted> inside =
                        wanted.stream().filter(w -> delivers(block, w)).toList();
                assertThat(allowed(inside, wanted, limits, hand)).as(shown).isTrue();
            }
            List<ReadBlock> computed =
                    plan.stream().filter(block -> !hand.contains(block)).toList();
            long cells = computed.stream().mapToLong(ReadBlock::count).sum();
            assertThat(new long[] {computed.size(), cells})
                    .as(shown)
                    .isEqualTo(best(open, wanted, limits, hand, new ArrayList<>(), 0));
            joined += plan.size() < wanted.size() ? 1 : 0;
        }
        assertThat(byHand).as("samples with a request set by hand").isGreaterThan(150);
        assertThat(joined).as("samples in which something could be joined").isGreaterThan(350);
    }

    private static boolean delivers(ReadBlock block, Wanted want) {
        return block.pollClass().equals(want.pollClass())
                && block.covers(
                        want.place().table(), want.place().start(), want.place().cells());
    }

    /** Requests and cells of the best way to put each open place, from {@code next} on, into a group. */
    private static long[] best(
            List<Wanted> open,
            List<Wanted> wanted,
            Limits limits,
            List<ReadBlock> hand,
            List<List<Wanted>> groups,
            int next) {
        if (next == open.size()) {
            long cells = 0;
            for (List<Wanted> group : groups) {
                if (!allowed(group, wanted, limits, hand)) {
                    return new long[] {Long.MAX_VALUE, Long.MAX_VALUE};
                }
                cells += last(group) - first(group);
            }
            return new long[] {groups.size(), cells};
        }
        long[] best = {Long.MAX_VALUE, Long.MAX_VALUE};
        for (int i = 0; i <= groups.size(); i++) {
            if (i == groups.size()) {
                groups.add(new ArrayList<>());
            }
            groups.get(i).add(open.get(next));
            long[] found = best(open, wanted, limits, hand, groups, next + 1);
            if (found[0] < best[0] || (found[0] == best[0] && found[1] < best[1])) {
                best = found;
            }
            List<Wanted> group = groups.get(i);
            group.remove(group.size() - 1);
            if (group.isEmpty()) {
                groups.remove(i);
                break;
            }
        }
        return best;
    }

    private static int first(List<Wanted> group) {
        return group.stream().mapToInt(w -> w.place().start()).min().orElseThrow();
    }

    private static int last(List<Wanted> group) {
        return group.stream().mapToInt(w -> w.place().end()).max().orElseThrow();
    }

    /** Whether one request may read the group, judged cell by cell. */
    private static boolean allowed(List<Wanted> group, List<Wanted> all, Limits limits, List<ReadBlock> hand) {
        ModbusTable table = group.get(0).place().table();
        String pollClass = group.get(0).pollClass();
        if (group.stream()
                        .anyMatch(w ->
                                w.place().table() != table || !w.pollClass().equals(pollClass))
                || last(group) - first(group) > (table.bits() ? limits.maxBits() : limits.maxRegisters())) {
            return false;
        }
        for (int cell = first(group); cell < last(group); cell++) {
            Place here = new Place(table, cell, 1);
            if (group.stream().anyMatch(w -> w.place().overlaps(here))) {
                continue;
            }
            boolean forbidden = limits.neverAcross().stream().anyMatch(here::overlaps);
            boolean described = all.stream().anyMatch(w -> w.place().overlaps(here));
            // What a request set by hand delivers is not delivered a second time.
            boolean delivered =
                    hand.stream().anyMatch(b -> b.pollClass().equals(pollClass) && b.covers(table, here.start(), 1));
            if (forbidden || delivered || !(described || limits.acrossGaps())) {
                return false;
            }
        }
        return true;
    }
}
