package oilbird.mapping.map;

import java.util.ArrayList;
import java.util.List;
import oilbird.mapping.address.Place;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.address.ReadPlanner;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.YamlMapping;
import oilbird.mapping.text.YamlNode;
import org.jspecify.annotations.Nullable;

/** Reads the sections {@code requests} and {@code read_effects}, and makes the read plan. */
final class RequestReader {
    private final MapText text;
    private final YamlMapping section;
    private final List<ReadEffect> withEffect = new ArrayList<>();
    private final List<Place> forbidden = new ArrayList<>();
    private final ReadPlanner.Limits limits;

    private record HandSet(ReadBlock block, Position at) {}

    private final List<HandSet> handSet = new ArrayList<>();

    /** Reads both sections and puts the hand-set requests into {@code text}. */
    RequestReader(MapText text, YamlMapping section, List<YamlNode> readEffects) {
        this.text = text;
        this.section = section;
        List<Place> never = new ArrayList<>();
        for (YamlNode node : readEffects) {
            YamlMapping of = node.asMapping();
            Place place = range(of);
            if (place != null) {
                withEffect.add(new ReadEffect(place, of.text("text")));
                never.add(place);
            }
        }
        for (YamlNode node : section.list("never_across").items()) {
            Place place = range(node.asMapping());
            if (place != null) {
                forbidden.add(place);
                never.add(place);
            }
        }
        this.limits = new ReadPlanner.Limits(
                limit("max_registers", 125), limit("max_bits", 2000), section.truth("read_across_gaps", false), never);
        for (YamlMapping.Entry entry : section.mapping("by_hand").entries()) {
            readHandSet(entry);
        }
    }

    private int limit(String key, int protocol) {
        long given = section.whole(key, protocol);
        return given >= 1 && given <= protocol ? (int) given : protocol;
    }

    private @Nullable Place range(YamlMapping of) {
        MapText.Located located = text.locate(of);
        long count = of.whole("count");
        if (located == null || count < 1 || count > 65536) {
            return null;
        }
        return text.place(located, (int) count);
    }

    private void readHandSet(YamlMapping.Entry entry) {
        YamlMapping of = entry.value().asMapping();
        Place place = range(of);
        String pollClass = text.pollClass(of, null);
        if (place == null || !pollClass.equals(of.text("poll", pollClass))) {
            return;
        }
        int most = place.table().bits() ? limits.maxBits() : limits.maxRegisters();
        if (place.cells() > most) {
            text.problems.error(
                    of.valuePosition("count"),
                    "the request has " + place.cells() + " cells, the most is " + most,
                    "split it");
            return;
        }
        for (HandSet other : handSet) {
            ReadBlock block = other.block();
            if (block.pollClass().equals(pollClass)
                    && new Place(block.table(), block.start(), block.count()).overlaps(place)) {
                text.problems.error(
                        entry.keyPosition(),
                        "the request overlaps with `" + block.name() + "` of line "
                                + other.at().line(),
                        "correct one of the two");
                return;
            }
        }
        ReadBlock block = new ReadBlock(entry.key(), place.table(), place.start(), place.cells(), pollClass);
        handSet.add(new HandSet(block, entry.keyPosition()));
        text.byHand.add(block);
    }

    List<ReadEffect> effects() {
        return withEffect;
    }

    /** The plan for what points and words occupy; empty after a mistake that was told. */
    List<ReadBlock> plan() {
        List<ReadPlanner.Wanted> wanted = new ArrayList<>();
        for (MapText.Occupied occupied : text.occupied()) {
            Place place = occupied.place();
            int most = place.table().bits() ? limits.maxBits() : limits.maxRegisters();
            if (place.cells() > most) {
                text.problems.error(
                        occupied.at(),
                        "`" + occupied.name() + "` has " + place.cells() + " cells, a request at most " + most,
                        "raise the limit under requests, or shorten it; a value is never read in parts");
            }
            wanted.add(new ReadPlanner.Wanted(place, occupied.pollClass()));
        }
        handSet.forEach(this::checkHandSet);
        return text.problems.refused() ? List.of() : ReadPlanner.plan(wanted, limits, text.byHand);
    }

    private void checkHandSet(HandSet hand) {
        ReadBlock block = hand.block();
        Place asked = new Place(block.table(), block.start(), block.count());
        boolean delivers = false;
        for (MapText.Occupied occupied : text.occupied()) {
            Place place = occupied.place();
            if (!occupied.pollClass().equals(block.pollClass()) || !place.overlaps(asked)) {
                continue;
            }
            delivers = true;
            if (!block.covers(place.table(), place.start(), place.cells())) {
                text.problems.error(
                        hand.at(),
                        "the request tears `" + occupied.name() + "` (" + text.cells(place) + ")",
                        "take it in whole, or leave it out");
            }
        }
        if (!delivers) {
            text.problems.error(
                    hand.at(),
                    "the request reads nothing that is described for its poll class",
                    "correct its address or its poll class, or delete it");
        }
        for (Place gap : forbidden) {
            if (gap.overlaps(asked) && !isDescribed(gap, asked)) {
                text.problems.error(
                        hand.at(),
                        "the request reads across " + text.cells(gap) + ", which never_across forbids",
                        "split it, or correct never_across");
            }
        }
        for (ReadEffect withIt : withEffect) {
            Place effect = withIt.place();
            if (effect.overlaps(asked) && !isDescribed(effect, asked)) {
                text.problems.error(
                        hand.at(),
                        "the request touches " + text.cells(effect) + ", where reading has an effect",
                        "split it, or describe those as points");
            }
        }
    }

    /** Whether every cell of the range inside the request belongs to a point or word. */
    private boolean isDescribed(Place effect, Place asked) {
        int from = Math.max(effect.start(), asked.start());
        int to = Math.min(effect.end(), asked.end());
        int described = 0;
        for (MapText.Occupied occupied : text.occupied()) {
            Place place = occupied.place();
            if (place.table() == effect.table()) {
                described += Math.max(0, Math.min(place.end(), to) - Math.max(place.start(), from));
            }
        }
        return described >= to - from;
    }
}
