package oilbird.mapping.text;

import java.time.Duration;

/**
 * A value in a YAML file, with its position and typed views.
 *
 * <p>A view of the wrong type adds an error to the file's {@link Problems} and answers a stand-in
 * (empty, 0, false), so that reading goes on and every mistake is found; {@link Problems#loaded}
 * then withholds the result.
 */
public abstract sealed class YamlNode permits YamlMapping, YamlList, YamlScalar {
    private final Position position;
    private final Problems problems;

    YamlNode(Position position, Problems problems) {
        this.position = position;
        this.problems = problems;
    }

    public final Position position() {
        return position;
    }

    /** The place just after the value's last character, for whoever changes the text of the file. */
    public abstract Position end();

    /** The collector of the file that this node belongs to. */
    public final Problems problems() {
        return problems;
    }

    /** Adds an error at this value. */
    public final void error(String what, String remedy) {
        problems.error(position, what, remedy);
    }

    /** Adds a warning at this value. */
    public final void warning(String what, String remedy) {
        problems.warning(position, what, remedy);
    }

    /** How the value is named in a message: the written scalar, {@code a mapping} or {@code a list}. */
    abstract String shown();

    public YamlMapping asMapping() {
        Mistakes.wrongType(this, "object");
        return YamlMapping.empty(position, problems);
    }

    public YamlList asList() {
        Mistakes.wrongType(this, "array");
        return YamlList.empty(position, problems);
    }

    public String asText() {
        Mistakes.wrongType(this, "string");
        return "";
    }

    /** A whole number; decimal or hexadecimal ({@code 0x1F}). */
    public long asWhole() {
        Mistakes.wrongType(this, "integer");
        return 0;
    }

    /** A finite number. */
    public double asDecimal() {
        Mistakes.wrongType(this, "number");
        return 0;
    }

    public boolean asTruth() {
        Mistakes.wrongType(this, "boolean");
        return false;
    }

    /** A length of time written as number and unit: {@code 500 ms}, {@code 2 s}, {@code 15 min}, {@code 4 h}, {@code 1 d}. */
    public Duration asDuration() {
        Mistakes.wrongType(this, "string");
        return Duration.ZERO;
    }

    /** One of an enum's constants, written in lower case with hyphens. */
    public <E extends Enum<E>> E asChoice(Class<E> of) {
        Mistakes.wrongType(this, "string");
        return of.getEnumConstants()[0];
    }
}
