package oilbird.demoplant.wire;

import java.util.Optional;

/**
 * How a monitor's server treats its clients, from well to ill.
 *
 * @param kind the kind of behaviour
 * @param number the exception code for {@link Kind#EXCEPTION}, milliseconds for {@link Kind#SLOW}, else 0
 */
public record Behaviour(Kind kind, int number) {
    /** Answers at once and rightly. */
    public static final Behaviour NORMAL = new Behaviour(Kind.NORMAL, 0);

    /** The kinds of behaviour. */
    public enum Kind {
        /** Answers at once and rightly. */
        NORMAL("normal"),
        /** Takes connections and requests and never answers. */
        SILENT("silent"),
        /** Closes its connections and takes no new ones. */
        REFUSE("refuse"),
        /** Answers every request with one exception code. */
        EXCEPTION("exception"),
        /** Answers rightly, each answer so many milliseconds late, one after the other. */
        SLOW("slow"),
        /** Answers with bytes that mean nothing. */
        GARBAGE("garbage"),
        /** Holds each answer back until the next request has come: always one behind. */
        LATE("late"),
        /** Answers rightly, but under the number of another transaction. */
        WRONG_TRANSACTION("wrong-transaction");

        private final String word;

        Kind(String word) {
            this.word = word;
        }

        /** The word the commands use. */
        public String word() {
            return word;
        }

        /** The kind of this word. */
        public static Optional<Kind> of(String word) {
            for (Kind kind : values()) {
                if (kind.word.equals(word)) {
                    return Optional.of(kind);
                }
            }
            return Optional.empty();
        }

        /** Whether the kind takes a number. */
        public boolean takesNumber() {
            return this == EXCEPTION || this == SLOW;
        }
    }

    /** In the commands' words, such as {@code slow 800}. */
    @Override
    public String toString() {
        return kind.takesNumber() ? kind.word() + " " + number : kind.word();
    }
}
