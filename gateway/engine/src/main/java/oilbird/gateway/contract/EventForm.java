package oilbird.gateway.contract;

/** An entry of the event record as it leaves the process. */
public sealed interface EventForm
        permits AlarmEventForm,
                NoticeForm,
                DiagnosisEventForm,
                KeepAwayEventForm,
                AccessEventForm,
                FaultFindingEventForm,
                WordedEventForm {
    String form();

    String eventId();

    String kind();

    /** Place in the event record. */
    long position();

    /** When it happened, RFC 3339, UTC. */
    String at();

    /** The alarm or signal that it is about. */
    String about();
}
