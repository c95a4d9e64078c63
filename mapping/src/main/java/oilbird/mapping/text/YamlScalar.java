package oilbird.mapping.text;

import java.math.BigDecimal;
import java.math.BigInteger;
import java.time.Duration;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;

/**
 * A single value. Plain (unquoted) scalars are resolved by YAML 1.2's core rules without its
 * surprises: {@code true} and {@code false} alone are booleans, a leading zero is refused, and dates
 * stay texts.
 */
public final class YamlScalar extends YamlNode {
    /** What a scalar was resolved to. */
    public enum Kind {
        TEXT,
        WHOLE,
        DECIMAL,
        TRUTH,
        /** Nothing, {@code ~} or {@code null} was written. */
        NOTHING
    }

    private static final Pattern WHOLE = Pattern.compile("[-+]?(0|[1-9][0-9]*)");
    private static final Pattern HEX = Pattern.compile("[-+]?0x[0-9a-fA-F]+");
    private static final Pattern DECIMAL = Pattern.compile("[-+]?(0|[1-9][0-9]*)?(\\.[0-9]+)?([eE][-+]?[0-9]+)?");
    private static final Pattern LEADING_ZERO = Pattern.compile("[-+]?0[0-9_]+(\\.[0-9]*)?");
    private static final Pattern DURATION = Pattern.compile("([0-9]+(?:\\.[0-9]+)?) ?(ms|s|min|h|d)");
    private static final List<String> DURATION_UNITS = List.of("ms", "s", "min", "h", "d");
    private static final long[] UNIT_NANOS = {
        1_000_000L, 1_000_000_000L, 60_000_000_000L, 3_600_000_000_000L, 86_400_000_000_000L
    };
    /** Longest written number; no number of a device map needs more, and longer ones cost time. */
    private static final int LONGEST_NUMBER = 40;

    private final Position end;
    private final String written;
    private final boolean plain;
    private final Kind kind;
    private final @Nullable BigDecimal number;

    YamlScalar(Position position, Position end, Problems problems, String written, boolean plain) {
        super(position, problems);
        this.end = end;
        this.written = written;
        this.plain = plain;
        BigDecimal resolved = null;
        Kind resolvedKind = Kind.TEXT;
        if (plain) {
            if (written.isEmpty() || written.equals("~") || written.equals("null")) {
                resolvedKind = Kind.NOTHING;
            } else if (written.equals("true") || written.equals("false")) {
                resolvedKind = Kind.TRUTH;
            } else if (written.length() <= LONGEST_NUMBER) {
                resolved = numberOf(written);
                if (resolved != null) {
                    resolvedKind = isWholeForm(written) ? Kind.WHOLE : Kind.DECIMAL;
                }
            }
        }
        this.kind = resolvedKind;
        this.number = resolved;
    }

    private static boolean isWholeForm(String written) {
        return WHOLE.matcher(written).matches() || HEX.matcher(written).matches();
    }

    private static @Nullable BigDecimal numberOf(String written) {
        if (HEX.matcher(written).matches()) {
            return new BigDecimal(new BigInteger(written.replaceFirst("0x", ""), 16));
        }
        if (!DECIMAL.matcher(written).matches() || written.chars().noneMatch(c -> c >= '0' && c <= '9')) {
            return null;
        }
        if (written.charAt(0) == 'e' || written.charAt(0) == 'E') {
            return null;
        }
        try {
            BigDecimal value = new BigDecimal(written);
            // The exponent bound keeps a short text from becoming a number of a billion digits.
            boolean sane = Math.abs((long) value.precision() - value.scale()) <= 400;
            return sane && Double.isFinite(value.doubleValue()) ? value : null;
        } catch (ArithmeticException | NumberFormatException tooLarge) {
            return null;
        }
    }

    /** True for a plain scalar such as {@code 010} that YAML 1.1 reads as eight and people as ten. */
    static boolean isAmbiguousNumber(String plainText) {
        return LEADING_ZERO.matcher(plainText).matches()
                && !DECIMAL.matcher(plainText).matches();
    }

    @Override
    public Position end() {
        return end;
    }

    public Kind kind() {
        return kind;
    }

    /** The text as written, quotes and escapes resolved. */
    public String written() {
        return written;
    }

    boolean plain() {
        return plain;
    }

    @Nullable
    BigDecimal number() {
        return number;
    }

    @Override
    String shown() {
        return kind == Kind.NOTHING ? "nothing" : Mistakes.quoted(written);
    }

    @Override
    public String asText() {
        return kind == Kind.TEXT ? written : super.asText();
    }

    @Override
    public long asWhole() {
        BigDecimal value = number;
        if (kind == Kind.WHOLE && value != null) {
            BigInteger whole = value.toBigInteger();
            if (whole.bitLength() <= 63) {
                return whole.longValue();
            }
            problems().misshapen(position(), shown() + " is too large", "write a number below 2^63");
            return 0;
        }
        return super.asWhole();
    }

    /** The whole number without bound, for the bit patterns of unsigned 64-bit values. */
    public BigInteger asBigWhole() {
        BigDecimal value = number;
        return kind == Kind.WHOLE && value != null ? value.toBigInteger() : BigInteger.valueOf(super.asWhole());
    }

    @Override
    public double asDecimal() {
        BigDecimal value = number;
        return value == null ? super.asDecimal() : value.doubleValue();
    }

    @Override
    public boolean asTruth() {
        return kind == Kind.TRUTH ? written.equals("true") : super.asTruth();
    }

    @Override
    public Duration asDuration() {
        Matcher matcher = DURATION.matcher(written);
        if (kind == Kind.TEXT && written.length() <= LONGEST_NUMBER && matcher.matches()) {
            BigDecimal amount = new BigDecimal(matcher.group(1));
            long unit = UNIT_NANOS[DURATION_UNITS.indexOf(matcher.group(2))];
            BigDecimal nanos = amount.multiply(BigDecimal.valueOf(unit));
            if (nanos.compareTo(BigDecimal.valueOf(Long.MAX_VALUE / 4)) < 0) {
                return Duration.ofNanos(nanos.longValue());
            }
            problems().misshapen(position(), shown() + " is too long a time", "write less than 70 years");
            return Duration.ZERO;
        }
        String remedy = kind == Kind.WHOLE || kind == Kind.DECIMAL
                ? "write the unit too, for example " + written + " s"
                : "write a number and a unit (ms, s, min, h or d), for example 15 s";
        problems().misshapen(position(), shown() + " is not a length of time", remedy);
        return Duration.ZERO;
    }

    @Override
    public <E extends Enum<E>> E asChoice(Class<E> of) {
        E[] constants = of.getEnumConstants();
        if (kind != Kind.TEXT) {
            return super.asChoice(of);
        }
        List<String> names = Arrays.stream(constants)
                .map(c -> c.name().toLowerCase(Locale.ROOT).replace('_', '-'))
                .toList();
        int found = names.indexOf(written);
        if (found < 0) {
            Mistakes.notOneOf(this, names);
            return constants[0];
        }
        return constants[found];
    }
}
