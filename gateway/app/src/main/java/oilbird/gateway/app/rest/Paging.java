package oilbird.gateway.app.rest;

import java.util.function.BiFunction;
import java.util.function.Function;
import org.jspecify.annotations.Nullable;

/** What the parameters of a paged request mean, or which of them is wrong. */
final class Paging {
    private static final int LONGEST_PAGE = 1_000;

    private Paging() {}

    static int limit(int limit) {
        if (limit < 1 || limit > LONGEST_PAGE) {
            throw Problems.wrong("limit", "`limit` is 1 to " + LONGEST_PAGE + ", not " + limit);
        }
        return limit;
    }

    /** An id of two parts, as in {@code t1/gas-t1.hydrogen-high}; null for none. */
    static <T> @Nullable T pair(String field, @Nullable String id, BiFunction<String, String, T> of) {
        if (id == null || id.isEmpty()) {
            return null;
        }
        int slash = id.indexOf('/');
        if (slash < 1 || slash == id.length() - 1) {
            throw Problems.wrong(field, "`" + field + "` is an id with one slash, not `" + id + "`");
        }
        return of.apply(id.substring(0, slash), id.substring(slash + 1));
    }

    /** One of the written names of an enumeration; null for none. */
    static <E extends Enum<E>> @Nullable E oneOf(
            String field, @Nullable String value, E[] known, Function<E, String> written) {
        if (value == null || value.isEmpty()) {
            return null;
        }
        StringBuilder names = new StringBuilder();
        for (E each : known) {
            if (written.apply(each).equals(value)) {
                return each;
            }
            names.append(names.isEmpty() ? "" : ", ").append(written.apply(each));
        }
        throw Problems.wrong(field, "`" + field + "` is one of " + names + ", not `" + value + "`");
    }
}
