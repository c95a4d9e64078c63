package oilbird.alarm.check;

import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.diagnosis.Sign;
import oilbird.alarm.state.Actor;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Work;
import org.jspecify.annotations.Nullable;

/** Something that happens to a guided fault-finding. */
public sealed interface GuidedInput {
    Entry entry();

    /** The name of a kind of input, in the record and in forms: {@code control-room-told}. */
    static String kind(GuidedInput input) {
        StringBuilder kind = new StringBuilder();
        for (char c : input.getClass().getSimpleName().toCharArray()) {
            if (Character.isUpperCase(c) && kind.length() > 0) {
                kind.append('-');
            }
            kind.append(Character.toLowerCase(c));
        }
        return kind.toString();
    }

    /** The same input with another entry. */
    GuidedInput with(Entry other);

    /**
     * Who says so, and when.
     *
     * @param key made by whoever sends it, so that the same input sent twice counts once.
     * @param at when it reached the gateway.
     * @param seen the version of the session that the person had in view; an input that another person has overtaken
     *     meanwhile is refused, and nothing is overwritten.
     * @param doneAt wall time in milliseconds at which it was done, where that was earlier: from a queue in an open page
     *     or from a printed sheet; null for now.
     */
    record Entry(
            String key,
            Actor who,
            Moment at,
            long seen,
            @Nullable Long doneAt) {
        public Entry {
            if (key.isBlank()) {
                throw new IllegalArgumentException("an input has a key");
            }
        }

        /** The same at another moment, as a process with another monotonic clock sees it. */
        public Entry at(Moment moved) {
            return new Entry(key, who, moved, seen, doneAt);
        }
    }

    /**
     * It begins. To one that is under way it is somebody who joins.
     *
     * @param assessment what the diagnosis said.
     */
    record Begun(Entry entry, Assessment assessment) implements GuidedInput {
        @Override
        public Begun with(Entry other) {
            return new Begun(other, assessment);
        }
    }

    /** Somebody takes part. */
    record Joined(Entry entry) implements GuidedInput {
        @Override
        public Joined with(Entry other) {
            return new Joined(other);
        }
    }

    /** Somebody takes part no longer. */
    record Left(Entry entry) implements GuidedInput {
        @Override
        public Left with(Entry other) {
            return new Left(other);
        }
    }

    /** A second person is there. */
    record SecondPerson(Entry entry, String name) implements GuidedInput {
        @Override
        public SecondPerson with(Entry other) {
            return new SecondPerson(other, name);
        }
    }

    /**
     * The owner's authorisation for a check is there.
     *
     * @param check id of the bound check.
     * @param by who gave it and under which number, in words.
     */
    record Authorised(Entry entry, String check, String by) implements GuidedInput {
        @Override
        public Authorised with(Entry other) {
            return new Authorised(other, check, by);
        }
    }

    /**
     * The control room was told.
     *
     * @param before true before the work, false after it.
     * @param whom who was told.
     */
    record ControlRoomTold(Entry entry, boolean before, String whom) implements GuidedInput {
        @Override
        public ControlRoomTold with(Entry other) {
            return new ControlRoomTold(other, before, whom);
        }
    }

    /**
     * The status words and their raw frames are saved.
     *
     * @param where where they are kept.
     */
    record WordsSaved(Entry entry, String where) implements GuidedInput {
        @Override
        public WordsSaved with(Entry other) {
            return new WordsSaved(other, where);
        }
    }

    /** A person confirms what has to be so before a check. */
    record Prepared(Entry entry, String check, Work.Preparation preparation) implements GuidedInput {
        @Override
        public Prepared with(Entry other) {
            return new Prepared(other, check, preparation);
        }
    }

    /**
     * An outcome was found.
     *
     * @param outcome index of the outcome of the check.
     * @param note what else was seen; empty for nothing.
     */
    record Answered(Entry entry, String check, int outcome, String note) implements GuidedInput {
        @Override
        public Answered with(Entry other) {
            return new Answered(other, check, outcome, note);
        }
    }

    /**
     * A value was measured.
     *
     * @param written number and unit as written.
     * @param testerProvedBefore true where the tester was proved on a known source before.
     * @param testerProvedAfter true where it was proved after.
     */
    record Measured(
            Entry entry,
            String check,
            String written,
            boolean testerProvedBefore,
            boolean testerProvedAfter,
            String note)
            implements GuidedInput {
        @Override
        public Measured with(Entry other) {
            return new Measured(other, check, written, testerProvedBefore, testerProvedAfter, note);
        }
    }

    /**
     * A cause was put right.
     *
     * @param cause id of the cause.
     * @param check id of the step that was done; null where no step of the library was.
     * @param note part, serial number, what was done.
     */
    record Repaired(Entry entry, String cause, @Nullable String check, String note) implements GuidedInput {
        @Override
        public Repaired with(Entry other) {
            return new Repaired(other, cause, check, note);
        }
    }

    /**
     * The gateway looked at the word and the readings after a repair.
     *
     * @param holding signs that hold now.
     * @param untellable signs that cannot be told now.
     * @param analyses analyses finished since the repair.
     * @param readings values of the readings that are watched, by name of the point; absent where one cannot be used.
     */
    record Watched(Entry entry, List<Sign> holding, List<Sign> untellable, int analyses, Map<String, Double> readings)
            implements GuidedInput {
        public Watched {
            holding = List.copyOf(holding);
            untellable = List.copyOf(untellable);
            readings = Collections.unmodifiableMap(new LinkedHashMap<>(readings));
        }

        @Override
        public Watched with(Entry other) {
            return new Watched(other, holding, untellable, analyses, readings);
        }
    }

    /** The diagnosis has changed: what it now makes of the signs replaces where the session began; answers stay. */
    record Reassessed(Entry entry, Assessment assessment) implements GuidedInput {
        @Override
        public Reassessed with(Entry other) {
            return new Reassessed(other, assessment);
        }
    }

    /** The fault goes to somebody else: the maker's service desk, a transformer engineer. */
    record HandedOver(Entry entry, String to, String why) implements GuidedInput {
        @Override
        public HandedOver with(Entry other) {
            return new HandedOver(other, to, why);
        }
    }

    /** Nobody goes on. */
    record GivenUp(Entry entry, String why) implements GuidedInput {
        @Override
        public GivenUp with(Entry other) {
            return new GivenUp(other, why);
        }
    }
}
