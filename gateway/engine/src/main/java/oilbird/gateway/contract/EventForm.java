package oilbird.gateway.contract;

/** An entry of the event record as it leaves the process. */
public sealed interface EventForm permits AlarmEventForm, NoticeForm, DiagnosisEventForm, KeepAwayEventForm {
    String form();

    String eventId();

    String kind();
}
