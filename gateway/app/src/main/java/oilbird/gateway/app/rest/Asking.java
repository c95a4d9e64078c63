package oilbird.gateway.app.rest;

import jakarta.inject.Singleton;
import java.time.Duration;
import java.time.format.DateTimeParseException;
import java.util.List;
import java.util.concurrent.CompletionException;
import java.util.concurrent.TimeUnit;
import oilbird.alarm.state.Actor;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.access.Caller;
import oilbird.gateway.app.door.CurrentCaller;
import oilbird.gateway.app.wiring.Gateway;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.engine.writer.ActResult;
import oilbird.mapping.signal.Moment;
import org.jspecify.annotations.Nullable;

/**
 * The one place where what a person asks for over REST is read, handed to the station and answered: only after it is
 * durable.
 */
@Singleton
public class Asking {
    private static final int LONGEST_NAME = 60;
    private static final int LONGEST_TEXT = 1_000;
    private static final long PATIENCE_SECONDS = 15;

    private final Gateway gateway;
    private final CurrentCaller current;

    public Asking(Gateway gateway, CurrentCaller current) {
        this.gateway = gateway;
        this.current = current;
    }

    /** Returns what it brought about once it is done and durable; otherwise the request ends with the problem. */
    List<RecordedEvent> carryOut(StationInput.Asked asked) {
        ActResult result;
        try {
            result = gateway.engine()
                    .acts()
                    .act(asked)
                    .orTimeout(PATIENCE_SECONDS, TimeUnit.SECONDS)
                    .join();
        } catch (CompletionException e) {
            throw Problems.unavailable("the disk did not confirm it within " + PATIENCE_SECONDS
                    + " s; it may still be done: look before you try again");
        }
        if (result instanceof ActResult.Refused refused) {
            throw Problems.refused(refused.refusal());
        }
        if (result instanceof ActResult.StepRefused refused) {
            throw Problems.refused(refused.refused());
        }
        if (result instanceof ActResult.NotTaken notTaken) {
            throw Problems.unavailable(notTaken.why());
        }
        return ((ActResult.Done) result).events();
    }

    Moment now() {
        return gateway.clock().now();
    }

    /**
     * Who asks, for the record: the person who is signed in. A program may name the person behind it; the record has
     * the program as the door.
     *
     * @param claimed the key {@code by} of the form.
     */
    Actor by(@Nullable String claimed) {
        String person = claimed == null ? "" : claimed.strip();
        Caller caller = current.get();
        if (caller instanceof Caller.Person signedIn) {
            if (!person.isEmpty()) {
                throw Problems.wrong(
                        "by", "`by` is for programs with a token; the record has who is signed in: " + signedIn.name());
            }
            return new Actor(signedIn.name(), current.door());
        }
        if (caller instanceof Caller.Program program) {
            if (person.length() > LONGEST_NAME) {
                throw Problems.wrong("by", "`by` is the name of a person, at most " + LONGEST_NAME + " characters");
            }
            return new Actor(person.isEmpty() ? program.name() : person, program.name());
        }
        throw new IllegalStateException("nobody came past the table");
    }

    static String needed(String field, @Nullable String value) {
        String text = text(field, value);
        if (text.isEmpty()) {
            throw Problems.wrong(field, "`" + field + "` is needed, 1 to " + LONGEST_TEXT + " characters");
        }
        return text;
    }

    /** Empty where nothing was said. */
    static String text(String field, @Nullable String value) {
        String text = value == null ? "" : value.strip();
        if (text.length() > LONGEST_TEXT) {
            throw Problems.wrong(field, "`" + field + "` has at most " + LONGEST_TEXT + " characters");
        }
        return text;
    }

    static Duration duration(String field, @Nullable String value) {
        String text = needed(field, value);
        try {
            return Duration.parse(text);
        } catch (DateTimeParseException e) {
            throw Problems.wrong(field, "`" + field + "` is an ISO 8601 duration such as PT2H, not `" + text + "`");
        }
    }

    static @Nullable String blankToNull(@Nullable String value) {
        return value == null || value.isBlank() ? null : value.strip();
    }
}
