package oilbird.gateway.contract;

import java.util.List;

/**
 * What needs someone now: form {@code oilbird.needs-someone/1}.
 *
 * @param keepAway assets that people are to keep away from, for a banner.
 * @param diagnoses open ones; a list shows each in the place of the alarms under it, with these below it.
 * @param alarms all of them, those under a diagnosis included: unacknowledged first, then by priority, then the newest first.
 * @param setAside alarms that do not sound, whatever their condition.
 * @param maintenance devices and assets in maintenance, for a banner.
 * @param tests points that are forced, for a banner.
 * @param newestEvent position of the newest event that this picture contains.
 */
public record NeedsSomeoneForm(
        String form,
        StationForm station,
        String asOf,
        boolean timeTrusted,
        long newestEvent,
        boolean flood,
        List<MaintenanceForm> maintenance,
        List<TestForm> tests,
        List<KeepAwayForm> keepAway,
        List<DiagnosisForm> diagnoses,
        List<AlarmStateForm> alarms,
        SetAside setAside,
        List<DeviceForm> devices) {
    public static final String FORM = "oilbird.needs-someone/1";

    public record SetAside(
            List<AlarmStateForm> shelved, List<AlarmStateForm> suppressed, List<AlarmStateForm> outOfService) {
        public SetAside {
            shelved = List.copyOf(shelved);
            suppressed = List.copyOf(suppressed);
            outOfService = List.copyOf(outOfService);
        }
    }

    public NeedsSomeoneForm {
        maintenance = List.copyOf(maintenance);
        tests = List.copyOf(tests);
        keepAway = List.copyOf(keepAway);
        diagnoses = List.copyOf(diagnoses);
        alarms = List.copyOf(alarms);
        devices = List.copyOf(devices);
    }
}
