package oilbird.alarm.check;

import java.math.BigDecimal;
import java.util.Locale;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import oilbird.mapping.signal.Supply;
import org.jspecify.annotations.Nullable;

/**
 * A value as a person wrote it, read with its unit. What can be read in two ways is refused: a wrong factor of a thousand
 * in a measured voltage is worse than a question.
 */
public sealed interface MeasuredValue {
    /**
     * A value that can only be meant in one way.
     *
     * @param value in the unit that was asked for.
     * @param unit the unit that was asked for.
     * @param written as the person wrote it.
     * @param current kind of current where the person said it; null otherwise.
     */
    record Read(double value, String unit, String written, Supply.@Nullable Current current) implements MeasuredValue {}

    /**
     * Nothing that can be used.
     *
     * @param why what is unclear.
     * @param remedy what to write instead.
     */
    record Unclear(String written, String why, String remedy) implements MeasuredValue {}

    /** The longest text that is looked at. */
    int LONGEST = 40;

    /**
     * Reads what a person wrote.
     *
     * @param written number and unit, with a decimal point or a decimal comma: {@code 13,5 V}, {@code 81 degF}.
     * @param unit the unit in which the value is wanted, as in a device map.
     */
    static MeasuredValue read(String written, String unit) {
        return new Reader(written, unit).read();
    }

    /** A value in another unit of the same quantity; empty where there is none. */
    static Optional<Double> convert(double value, String from, String to) {
        MeasuredUnit one = MeasuredUnit.of(from, to).orElse(null);
        MeasuredUnit other = MeasuredUnit.of(to, to).orElse(null);
        return one == null || other == null || !one.quantity().equals(other.quantity())
                ? Optional.empty()
                : Optional.of(other.fromBase(one.toBase(value)));
    }

    /** Takes one written value apart. */
    final class Reader {
        private static final Pattern PARTS =
                Pattern.compile("([+-]?)([0-9][0-9.,]*|[.,][0-9]+)\\s*(.*)", Pattern.DOTALL);
        private static final Pattern GROUPED = Pattern.compile("[1-9][0-9]{0,2}([.,])[0-9]{3}");
        private static final Pattern KIND =
                Pattern.compile("(.*?)[ .]*(a\\.?c\\.?|d\\.?c\\.?|~|=)", Pattern.CASE_INSENSITIVE);

        private final String written;
        private final String wanted;

        Reader(String written, String wanted) {
            this.written = written;
            this.wanted = wanted;
        }

        MeasuredValue read() {
            String text = written.replace('\u2212', '-')
                    .replace('\u00a0', ' ')
                    .replace('\u202f', ' ')
                    .strip();
            if (text.isEmpty() || text.length() > LONGEST) {
                return unclear(
                        text.isEmpty() ? "nothing is written" : "the text is longer than a value",
                        "write the number and its unit, for example 12.5 " + wanted);
            }
            Matcher parts = PARTS.matcher(text);
            if (!parts.matches()) {
                return unclear(
                        "it does not begin with a number", "write one number and its unit, without about, < or >");
            }
            String rest = parts.group(3);
            if (!rest.isEmpty()
                    && !rest.startsWith("1/")
                    && (Character.isDigit(rest.charAt(0)) || "-+/.,:".indexOf(rest.charAt(0)) >= 0)) {
                return unclear("more than one number stands there", "write the one value that counts");
            }
            if (rest.matches("[eE][+-]?[0-9].*")) {
                return unclear("the number has an exponent", "write it out");
            }
            String digits = plain(parts.group(2));
            if (digits == null) {
                return unclear(
                        "`" + parts.group(2) + "` can be read in two ways",
                        GROUPED.matcher(parts.group(2)).matches()
                                ? twoWays(parts.group(2))
                                : "write it with one decimal point or comma and no separator between thousands");
            }
            double number = new BigDecimal(parts.group(1) + digits).doubleValue();
            return withUnit(number, rest.strip());
        }

        /** The number with a decimal point and nothing else, or null where it is not clear. */
        private static @Nullable String plain(String number) {
            int points = (int) number.chars().filter(c -> c == '.').count();
            int commas = (int) number.chars().filter(c -> c == ',').count();
            if (points + commas == 0) {
                return number;
            }
            char last = number.lastIndexOf('.') > number.lastIndexOf(',') ? '.' : ',';
            int at = number.lastIndexOf(last);
            String whole = number.substring(0, at);
            String part = number.substring(at + 1);
            if (part.isEmpty()) {
                return null;
            }
            if (points + commas == 1) {
                return GROUPED.matcher(number).matches() ? null : (whole.isEmpty() ? "0" : whole) + "." + part;
            }
            // Thousands are marked by the one, the fraction by the other: no other reading is left.
            char thousands = last == '.' ? ',' : '.';
            boolean grouped =
                    whole.matches("[1-9][0-9]{0,2}(" + Pattern.quote(String.valueOf(thousands)) + "[0-9]{3})+");
            return grouped ? whole.replace(String.valueOf(thousands), "") + "." + part : null;
        }

        private static String twoWays(String number) {
            String joined = number.replaceAll("[.,]", "");
            String fraction = number.replace(',', '.').replaceAll("0+$", "").replaceAll("\\.$", "");
            return "write " + fraction + (fraction.contains(".") ? "" : ".0") + " or " + joined
                    + ", whichever is meant";
        }

        private MeasuredValue withUnit(double number, String rest) {
            Supply.Current current = null;
            String unit = rest;
            Matcher kind = KIND.matcher(rest);
            if (kind.matches() && !kind.group(1).isBlank()) {
                unit = kind.group(1).strip();
                String word = kind.group(2).toLowerCase(Locale.ROOT);
                current = word.startsWith("a") || word.equals("~") ? Supply.Current.AC : Supply.Current.DC;
            }
            if (unit.isEmpty()) {
                return unclear("the unit is missing", "write it behind the number, for example " + wanted);
            }
            MeasuredUnit of = MeasuredUnit.of(unit, wanted).orElse(null);
            MeasuredUnit asked = MeasuredUnit.of(wanted, wanted).orElse(null);
            if (of == null || asked == null || !of.quantity().equals(asked.quantity())) {
                return unclear(
                        of == null
                                ? "the unit `" + unit + "` is not known here"
                                : "`" + unit + "` is no unit of what was to be measured",
                        "write the value in " + wanted + "; large and small letters count");
            }
            return new Read(asked.fromBase(of.toBase(number)), wanted, written, current);
        }

        private Unclear unclear(String why, String remedy) {
            return new Unclear(written, why, remedy);
        }
    }
}
