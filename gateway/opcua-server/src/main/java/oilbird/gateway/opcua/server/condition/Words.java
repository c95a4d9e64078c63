package oilbird.gateway.opcua.server.condition;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Collectors;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationView;
import oilbird.gateway.contract.AlarmEventForm;
import oilbird.gateway.contract.AlarmStateForm;
import oilbird.gateway.contract.CheckForm;
import oilbird.gateway.contract.ExplanationForm;
import oilbird.gateway.contract.Forms;
import oilbird.gateway.contract.KeepAwayForm;
import oilbird.gateway.contract.MaintenanceForm;
import oilbird.gateway.engine.record.RecordedEvent;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.jspecify.annotations.Nullable;

/**
 * What an alarm means for people, as the forms say it; nothing is worded here but how a check is put in one line.
 *
 * @param checks each with its exposure and all its cautions; those withdrawn by a keep-away are not among them.
 */
record Words(
        String message,
        String evidence,
        String likelyCause,
        String diagnosis,
        List<String> checks,
        int withdrawn,
        List<String> keepAway,
        String trust,
        boolean trusted,
        String trouble,
        String call,
        String response,
        @Nullable Duration within,
        String maintenance,
        boolean alsoHardwired) {

    /** Words of an alarm as it was right after its last event; of one that the rules no longer have, what is left. */
    static Words of(ConditionImage image, StationView view, ServerSide side) {
        StationEvent.OfAlarm newest = image.newest();
        StationView.AlarmView alarm = view.alarms().get(image.rule().id());
        if (alarm == null) {
            return nothing(image.rule().id().toString());
        }
        Forms forms = side.forms();
        boolean maintained = view.standing().covering(image.rule(), side.facts()) != null;
        if (newest == null || maintained) {
            AlarmStateForm form = forms.outgoing(alarm, view);
            return of(form.explanation(), form.evidence(), form.maintenance() == null ? "" : line(form.maintenance()));
        }
        return forms.event(new RecordedEvent(0, newest, true), view) instanceof AlarmEventForm form
                ? of(form.explanation(), newest.event().by() == null ? form.text() : alarm.evidence(), "")
                : nothing(image.rule().id().toString());
    }

    private static Words of(ExplanationForm explained, String evidence, String maintenance) {
        return new Words(
                explained.sentence(),
                evidence,
                explained.likelyCause() == null ? "" : explained.likelyCause().text(),
                explained.likelyCause() == null ? "" : explained.likelyCause().diagnosis(),
                explained.firstChecks().stream().map(Words::line).toList(),
                explained.withdrawnChecks(),
                explained.keepAway().stream().map(KeepAwayForm::text).toList(),
                explained.trust(),
                explained.readingsTrusted(),
                explained.troubleText(),
                explained.call(),
                explained.response(),
                explained.within() == null ? null : Duration.parse(explained.within()),
                maintenance,
                explained.alsoHardwired());
    }

    private static Words nothing(String alarm) {
        return new Words(alarm, "", "", "", List.of(), 0, List.of(), "", false, "", "", "", null, "", false);
    }

    private static String line(CheckForm check) {
        List<String> parts = new ArrayList<>();
        parts.add(check.action());
        if (!check.accept().isEmpty()) {
            parts.add("Accepted: " + check.accept());
        }
        parts.add("Exposure " + check.exposure() + ": " + check.exposureText());
        if (!check.cautions().isEmpty()) {
            parts.add(check.cautions().stream()
                    .map(CheckForm.Caution::text)
                    .collect(Collectors.joining(" ", "Caution: ", "")));
        }
        return String.join(" | ", parts);
    }

    private static String line(MaintenanceForm of) {
        return of.name() + ": " + of.reason() + (of.permit().isEmpty() ? "" : ", permit " + of.permit()) + ", "
                + of.by().name() + ", until " + of.until();
    }

    static LocalizedText text(String words) {
        return words.isEmpty() ? LocalizedText.NULL_VALUE : new LocalizedText("en", words);
    }

    static LocalizedText[] texts(List<String> words) {
        return words.stream().map(Words::text).toArray(LocalizedText[]::new);
    }
}
