package oilbird.mapping.text;

/**
 * A mistake in a file: where, what is wrong, and what to do about it.
 *
 * @param what one clause, naming the offending text.
 * @param remedy one clause that tells what to write instead.
 */
public record Problem(Severity severity, Position position, String what, String remedy) {
    public enum Severity {
        /** The file is refused. */
        ERROR,
        /** The file is used; somebody should look. */
        WARNING
    }

    public static Problem error(Position position, String what, String remedy) {
        return new Problem(Severity.ERROR, position, what, remedy);
    }

    public static Problem warning(Position position, String what, String remedy) {
        return new Problem(Severity.WARNING, position, what, remedy);
    }

    /** {@code file:line:column: error: what; remedy}. */
    @Override
    public String toString() {
        return position + ": " + (severity == Severity.ERROR ? "error" : "warning") + ": " + what + "; " + remedy;
    }
}
