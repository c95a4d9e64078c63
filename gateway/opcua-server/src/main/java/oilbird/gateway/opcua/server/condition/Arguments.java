package oilbird.gateway.opcua.server.condition;

import java.util.List;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.types.builtin.ByteString;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;
import org.jspecify.annotations.Nullable;

/**
 * Input arguments of a call, read once.
 *
 * @param status good, or what is wrong with them.
 * @param each one status an argument where one of them is wrong; otherwise empty.
 */
record Arguments(
        StatusCode status,
        List<StatusCode> each,
        @Nullable ByteString eventId,
        @Nullable LocalizedText comment,
        @Nullable Double shelvingMillis,
        @Nullable UInteger subscription,
        @Nullable UInteger item) {
    /** As over every other door. */
    static final int LONGEST_COMMENT = 1_000;

    static Arguments of(Verb verb, Variant @Nullable [] inputs) {
        Variant[] given = inputs == null ? new Variant[0] : inputs;
        int wanted = verb.arguments().size();
        if (given.length != wanted) {
            return wrong(
                    given.length < wanted ? StatusCodes.Bad_ArgumentsMissing : StatusCodes.Bad_TooManyArguments,
                    List.of());
        }
        ByteString eventId = null;
        LocalizedText comment = null;
        Double time = null;
        UInteger subscription = null;
        UInteger item = null;
        StatusCode[] each = new StatusCode[wanted];
        boolean good = true;
        for (int i = 0; i < wanted; i++) {
            Object value = given[i] == null ? null : given[i].value();
            long status = StatusCode.GOOD.value();
            switch (verb.arguments().get(i)) {
                case EVENT_ID -> {
                    eventId = value instanceof ByteString bytes ? bytes : null;
                    status = value == null || eventId != null ? status : StatusCodes.Bad_TypeMismatch;
                }
                case COMMENT -> {
                    comment = value instanceof LocalizedText text ? text : null;
                    status = value == null || comment != null ? status : StatusCodes.Bad_TypeMismatch;
                    if (comment != null
                            && comment.text() != null
                            && comment.text().length() > LONGEST_COMMENT) {
                        status = StatusCodes.Bad_OutOfRange;
                    }
                }
                case SHELVING_TIME -> {
                    time = value instanceof Double millis ? millis : null;
                    status = time == null ? StatusCodes.Bad_TypeMismatch : status;
                }
                case SUBSCRIPTION -> {
                    subscription = value instanceof UInteger id ? id : null;
                    status = subscription == null ? StatusCodes.Bad_TypeMismatch : status;
                }
                case ITEM -> {
                    item = value instanceof UInteger id ? id : null;
                    status = item == null ? StatusCodes.Bad_TypeMismatch : status;
                }
            }
            each[i] = new StatusCode(status);
            good &= each[i].isGood();
        }
        return new Arguments(
                good ? StatusCode.GOOD : new StatusCode(StatusCodes.Bad_InvalidArgument),
                good ? List.of() : List.of(each),
                eventId,
                comment,
                time,
                subscription,
                item);
    }

    private static Arguments wrong(long status, List<StatusCode> each) {
        return new Arguments(new StatusCode(status), each, null, null, null, null, null);
    }

    /** What is to be said; empty for nothing. */
    String words() {
        return comment == null || comment.text() == null ? "" : comment.text().strip();
    }

    /** An empty text with a locale takes the last comment back; without one it changes nothing (1.05, 5.5.6, 5.7.3). */
    boolean clears() {
        return comment != null
                && words().isEmpty()
                && comment.locale() != null
                && !comment.locale().isEmpty();
    }
}
