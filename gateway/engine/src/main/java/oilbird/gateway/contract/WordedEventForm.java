package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonUnwrapped;

/**
 * An alarm event with the text that the station file has for a link.
 *
 * @param message made from the link's {@link MessageText}.
 */
public record WordedEventForm(@JsonUnwrapped AlarmEventForm event, String message) implements EventForm {
    @Override
    public String form() {
        return event.form();
    }

    @Override
    public String eventId() {
        return event.eventId();
    }

    @Override
    public String kind() {
        return event.kind();
    }

    @Override
    public long position() {
        return event.position();
    }

    @Override
    public String at() {
        return event.at();
    }

    @Override
    public String about() {
        return event.about();
    }
}
