package oilbird.mapping.signal;

import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * What a check touches and does, and what has to be confirmed before it.
 *
 * @param circuit the kind of circuit that is looked at or touched; it decides which cautions have to be there.
 * @param act what is done to it.
 * @param prepared what has to be confirmed before, in the order of {@link Preparation}.
 * @param proof id of the check that proves it afterwards; null where nothing is changed.
 * @param repairs causes, as written, that it puts right; empty for a step that only tells something.
 */
public record Work(
        Circuit circuit,
        Act act,
        List<Preparation> prepared,
        @Nullable String proof,
        List<String> repairs) {
    /** Nothing is touched. */
    public static final Work LOOKING = new Work(Circuit.NONE, Act.LOOK, List.of(), null, List.of());

    public Work {
        prepared = prepared.stream().sorted().distinct().toList();
        repairs = List.copyOf(repairs);
    }

    /** What is done. */
    public enum Act {
        /** Looked at, listened to, compared, asked. */
        LOOK(false),
        /** A meter is put to it. */
        MEASURE(false),
        /** A terminal, link or plug of the circuit is opened. */
        OPEN_CIRCUIT(false),
        /** A board or small-signal part is plugged, unplugged or touched. */
        HANDLE_BOARD(false),
        /** A valve is turned; looking at its mark is {@link #LOOK}. */
        TURN_VALVE(true),
        /** A setting is put right at the device. */
        SET(true),
        /** Something is cleaned, seated or tightened. */
        MEND(true),
        /** The device is started again: it changes the state and may lose what it knew. */
        RESTART(true),
        /** A part is exchanged. */
        REPLACE(true);

        private final boolean changes;

        Act(boolean changes) {
            this.changes = changes;
        }

        /** True where it changes the state of things and does not only tell something. */
        public boolean changes() {
            return changes;
        }

        /** True where it starts the device again, after which it may show another word. */
        public boolean restarts() {
            return this == RESTART;
        }
    }

    /** What a person confirms before a step; the tool asks and records, it never concludes that it is so. */
    public enum Preparation {
        /** The status words, with raw frames, are saved. */
        WORDS_SAVED("the status words and their raw frames are saved"),
        /** The asset is out of service, switched and earthed by those who may. */
        ASSET_OUT_OF_SERVICE("the asset is out of service, isolated and earthed under the owner's permit"),
        /** Whatever the circuit trips is blocked, or its consumer is in test. */
        CONSUMERS_BLOCKED("whatever the circuit feeds or trips is in test or blocked, under the owner's permit"),
        EVERY_SUPPLY_ISOLATED("every supply is isolated, auxiliary and heater supplies included"),
        LOCKED("the points of isolation are locked and tagged"),
        ABSENCE_OF_VOLTAGE_TESTED("absence of voltage is tested, the tester proved before and after"),
        STORED_ENERGY_DISCHARGED("stored energy is discharged"),
        ELECTROSTATIC("wrist strap and shielding bag are used against electrostatic discharge");

        private final String text;

        Preparation(String text) {
            this.text = text;
        }

        /** What is confirmed, in words. */
        public String text() {
            return text;
        }

        /** What has to be confirmed before anything is exchanged. */
        public static List<Preparation> isolation() {
            return List.of(EVERY_SUPPLY_ISOLATED, LOCKED, ABSENCE_OF_VOLTAGE_TESTED, STORED_ENERGY_DISCHARGED);
        }
    }
}
