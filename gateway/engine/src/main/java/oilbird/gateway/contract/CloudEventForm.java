package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonPropertyOrder;
import java.util.Locale;

/**
 * An entry of the event record as a CloudEvent 1.0.2 in the structured JSON mode.
 *
 * @param id our event id; the same for every repetition of the same fact.
 * @param source the gateway whose ids these are.
 * @param type form and version of the data: {@code oilbird.alarm-event.v1} or {@code oilbird.notice.v1}.
 * @param subject the alarm, or what a notice is about.
 * @param dataschema name of the published schema of the data.
 * @param sequence place in the event record, written so that texts compare as numbers do (extension {@code sequence}).
 */
@JsonPropertyOrder({
    "specversion",
    "id",
    "source",
    "type",
    "subject",
    "time",
    "datacontenttype",
    "dataschema",
    "sequence",
    "data"
})
public record CloudEventForm(
        String specversion,
        String id,
        String source,
        String type,
        String subject,
        String time,
        String datacontenttype,
        String dataschema,
        String sequence,
        EventForm data) {
    public static final String MEDIA_TYPE = "application/cloudevents+json; charset=UTF-8";

    public static CloudEventForm of(EventForm event, StationForm station) {
        String name = event.form().substring("oilbird.".length(), event.form().indexOf('/'));
        String version = event.form().substring(event.form().indexOf('/') + 1);
        return new CloudEventForm(
                "1.0",
                event.eventId(),
                "urn:oilbird:gateway:" + station.gateway(),
                "oilbird." + name + ".v" + version,
                event.about(),
                event.at(),
                "application/json",
                "urn:oilbird:schema:" + name + ":" + version,
                String.format(Locale.ROOT, "%019d", event.position()),
                event);
    }
}
